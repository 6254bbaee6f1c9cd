-- +goose Up
CREATE TABLE tanks (
    id         TEXT    NOT NULL PRIMARY KEY,
    name       TEXT    NOT NULL,
    planted    TEXT    NOT NULL DEFAULT '', -- ISO 8601 date of the current plan; empty when it states none
    current    INTEGER NOT NULL DEFAULT 0,  -- number of the revision in force
    forecast   TEXT    NOT NULL DEFAULT '', -- key of the last finished forecast
    made_ms    INTEGER NOT NULL,
    changed_ms INTEGER NOT NULL
) STRICT;

CREATE TABLE blobs (
    sha  TEXT NOT NULL PRIMARY KEY, -- SHA-256 in hex
    data BLOB NOT NULL
) STRICT;

CREATE TABLE revisions (
    tank    TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    number  INTEGER NOT NULL,
    variant TEXT    NOT NULL DEFAULT '', -- empty = the plan in force
    base    INTEGER NOT NULL,
    name    TEXT    NOT NULL DEFAULT '',
    plan    TEXT    NOT NULL,
    sum     TEXT    NOT NULL, -- SHA-256 of plan and files
    author  TEXT    NOT NULL DEFAULT '',
    made_ms INTEGER NOT NULL,
    PRIMARY KEY (tank, number)
) STRICT;
CREATE INDEX revisions_variant ON revisions (tank, variant, number);

CREATE TABLE revision_files (
    tank   TEXT    NOT NULL,
    number INTEGER NOT NULL,
    name   TEXT    NOT NULL,
    sha    TEXT    NOT NULL REFERENCES blobs (sha),
    PRIMARY KEY (tank, number, name),
    FOREIGN KEY (tank, number) REFERENCES revisions (tank, number) ON DELETE CASCADE
) STRICT;

CREATE TABLE forecasts (
    key      TEXT    NOT NULL PRIMARY KEY,
    tank     TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    revision INTEGER NOT NULL,
    engine   TEXT    NOT NULL,
    days     INTEGER NOT NULL,
    made_ms  INTEGER NOT NULL
) STRICT;
CREATE INDEX forecasts_tank ON forecasts (tank, made_ms);

CREATE TABLE forecast_parts (
    key  TEXT NOT NULL REFERENCES forecasts (key) ON DELETE CASCADE,
    name TEXT NOT NULL,
    type TEXT NOT NULL, -- media type
    data BLOB NOT NULL,
    PRIMARY KEY (key, name)
) STRICT;

CREATE TABLE entries (
    id          TEXT    NOT NULL,    -- made by the client, so that sending twice keeps one
    version     INTEGER NOT NULL,
    tank        TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    base        INTEGER NOT NULL,    -- version that the writer had seen; 0 for a new entry
    state       TEXT    NOT NULL,    -- current, old, conflict or settled
    kind        TEXT    NOT NULL,
    at          TEXT    NOT NULL,    -- local date and time in the words of ISO 8601, as written beside the tank
    moves       INTEGER NOT NULL,    -- 1 when it changes the forecast
    body        TEXT    NOT NULL,    -- JSON
    sum         TEXT    NOT NULL,    -- SHA-256 of kind, time and body
    author      TEXT    NOT NULL DEFAULT '',
    received_ms INTEGER NOT NULL,
    PRIMARY KEY (id, version)
) STRICT;
CREATE INDEX entries_tank ON entries (tank, state, at, id);
CREATE INDEX entries_kind ON entries (tank, state, kind, at, id);
CREATE INDEX entries_count ON entries (state, tank, at, moves, received_ms);

CREATE TABLE photos (
    id      TEXT    NOT NULL PRIMARY KEY, -- made by the client
    tank    TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    sha     TEXT    NOT NULL,
    mark    TEXT    NOT NULL DEFAULT '',  -- the fixed place it was taken from
    at      TEXT    NOT NULL,
    width   INTEGER NOT NULL,
    height  INTEGER NOT NULL,
    bytes   INTEGER NOT NULL,
    author  TEXT    NOT NULL DEFAULT '',
    made_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX photos_tank ON photos (tank, at);

CREATE TABLE users (
    id      TEXT    NOT NULL PRIMARY KEY,
    name    TEXT    NOT NULL UNIQUE COLLATE NOCASE,
    role    TEXT    NOT NULL CHECK (role IN ('owner', 'designer', 'crew')),
    hash    TEXT    NOT NULL,
    closed  INTEGER NOT NULL DEFAULT 0,
    made_ms INTEGER NOT NULL
) STRICT;

CREATE TABLE sessions (
    token     TEXT    NOT NULL PRIMARY KEY,
    data      BLOB    NOT NULL,
    expiry_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX sessions_expiry ON sessions (expiry_ms);

CREATE TABLE links (
    id         TEXT    NOT NULL PRIMARY KEY,
    tank       TEXT    NOT NULL REFERENCES tanks (id) ON DELETE CASCADE,
    hash       TEXT    NOT NULL UNIQUE, -- SHA-256 of the token, which is never kept
    name       TEXT    NOT NULL,
    made_ms    INTEGER NOT NULL,
    expiry_ms  INTEGER NOT NULL,        -- 0 = until revoked
    revoked_ms INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE audit (
    number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    at_ms  INTEGER NOT NULL,
    who    TEXT    NOT NULL,
    what   TEXT    NOT NULL,
    tank   TEXT    NOT NULL DEFAULT '',
    status INTEGER NOT NULL
) STRICT;

CREATE TABLE settings (
    key   TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- +goose Down
DROP TABLE settings;
DROP TABLE audit;
DROP TABLE links;
DROP TABLE sessions;
DROP TABLE users;
DROP TABLE photos;
DROP TABLE entries;
DROP TABLE forecast_parts;
DROP TABLE forecasts;
DROP TABLE revision_files;
DROP TABLE revisions;
DROP TABLE blobs;
DROP TABLE tanks;
