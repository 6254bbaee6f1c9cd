-- +goose Up
-- Sets of species that a studio likes together; species is a JSON list of accepted names.
CREATE TABLE palettes (
    id         TEXT    NOT NULL PRIMARY KEY,
    name       TEXT    NOT NULL,
    species    TEXT    NOT NULL CHECK (json_valid(species)),
    author     TEXT    NOT NULL,
    changed_ms INTEGER NOT NULL
) STRICT;

-- +goose Down
DROP TABLE palettes;
