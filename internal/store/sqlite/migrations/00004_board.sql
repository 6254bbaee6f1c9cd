-- +goose Up
-- A revision is open while the drawing board writes it: it is rewritten in place until somebody relies on it.
ALTER TABLE revisions ADD COLUMN open INTEGER NOT NULL DEFAULT 0;

CREATE TABLE steps (
    tank    TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    number  INTEGER NOT NULL,
    label   TEXT    NOT NULL,
    at      INTEGER NOT NULL,           -- byte of the plan's text at which
    old     TEXT    NOT NULL,           -- this
    new     TEXT    NOT NULL,           -- became this
    undone  INTEGER NOT NULL DEFAULT 0, -- 1 when it was taken back and can be done again
    author  TEXT    NOT NULL DEFAULT '',
    made_ms INTEGER NOT NULL,
    PRIMARY KEY (tank, number)
) STRICT;
CREATE INDEX steps_undone ON steps (tank, undone, number);

-- +goose Down
DROP TABLE steps;
ALTER TABLE revisions DROP COLUMN open;
