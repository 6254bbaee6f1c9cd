-- name: AddTank :exec
INSERT INTO tanks (id, name, made_ms, changed_ms) VALUES (?, ?, ?, ?);

-- name: Tank :one
SELECT * FROM tanks WHERE id = ?;

-- name: Tanks :many
SELECT * FROM tanks ORDER BY name COLLATE NOCASE, id;

-- name: DeleteTank :execrows
DELETE FROM tanks WHERE id = ?;

-- name: SetForecast :exec
UPDATE tanks SET forecast = ? WHERE id = ?;

-- name: SetCurrent :exec
UPDATE tanks SET current = ?, name = ?, planted = ?, changed_ms = ? WHERE id = ?;

-- name: LastNumber :one
SELECT CAST(COALESCE(MAX(number), 0) AS INTEGER) FROM revisions WHERE tank = ?;

-- name: LastOfVariant :one
SELECT CAST(COALESCE(MAX(number), 0) AS INTEGER) FROM revisions WHERE tank = ? AND variant = ?;

-- name: AddRevision :exec
INSERT INTO revisions (tank, number, variant, base, name, plan, sum, author, made_ms, open) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?);

-- name: Rewrite :exec
UPDATE revisions SET plan = ?, sum = ?, author = ?, made_ms = ? WHERE tank = ? AND number = ?;

-- name: Seal :exec
UPDATE revisions SET open = 0 WHERE tank = ? AND open = 1;

-- name: CopyFiles :exec
INSERT INTO revision_files (tank, number, name, sha) SELECT f.tank, CAST(sqlc.arg(into_number) AS INTEGER), f.name, f.sha FROM revision_files f WHERE f.tank = sqlc.arg(tank) AND f.number = sqlc.arg(from_number);

-- name: LastStep :one
SELECT * FROM steps WHERE tank = ? AND undone = 0 ORDER BY number DESC LIMIT 1;

-- name: FirstUndone :one
SELECT * FROM steps WHERE tank = ? AND undone = 1 ORDER BY number LIMIT 1;

-- name: LastStepNumber :one
SELECT CAST(COALESCE(MAX(number), 0) AS INTEGER) FROM steps WHERE tank = ?;

-- name: AddStep :exec
INSERT INTO steps (tank, number, label, at, old, new, author, made_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?);

-- name: ForgetUndone :exec
DELETE FROM steps WHERE tank = ? AND undone = 1;

-- name: TurnStep :execrows
UPDATE steps SET undone = 1 - undone WHERE tank = ? AND number = ?;

-- name: Revision :one
SELECT * FROM revisions WHERE tank = ? AND number = ?;

-- name: Revisions :many
SELECT number, variant, base, name, sum, author, made_ms FROM revisions WHERE tank = ? ORDER BY number DESC;

-- name: NameRevision :execrows
UPDATE revisions SET name = ? WHERE tank = ? AND number = ?;

-- name: AddBlob :exec
INSERT INTO blobs (sha, data) VALUES (?, ?) ON CONFLICT (sha) DO NOTHING;

-- name: AddRevisionFile :exec
INSERT INTO revision_files (tank, number, name, sha) VALUES (?, ?, ?, ?);

-- name: RevisionFiles :many
SELECT f.name, b.data FROM revision_files f JOIN blobs b ON b.sha = f.sha WHERE f.tank = ? AND f.number = ? ORDER BY f.name;

-- name: SweepBlobs :exec
DELETE FROM blobs WHERE sha NOT IN (SELECT sha FROM revision_files);

-- name: AddForecast :exec
INSERT INTO forecasts (key, tank, revision, engine, days, made_ms) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (key) DO UPDATE SET made_ms = excluded.made_ms;

-- name: Forecast :one
SELECT * FROM forecasts WHERE key = ?;

-- name: OldForecasts :many
SELECT key FROM forecasts WHERE tank = ? ORDER BY made_ms DESC, key LIMIT 1000 OFFSET ?;

-- name: DeleteForecast :exec
DELETE FROM forecasts WHERE key = ?;

-- name: PutPart :exec
INSERT INTO forecast_parts (key, name, type, data) VALUES (?, ?, ?, ?) ON CONFLICT (key, name) DO UPDATE SET type = excluded.type, data = excluded.data;

-- name: Part :one
SELECT type, data FROM forecast_parts WHERE key = ? AND name = ?;

-- name: LastForecasts :many
SELECT f.key, f.tank, f.revision, f.engine, f.days, f.made_ms, p.type, p.data
FROM tanks t JOIN forecasts f ON f.key = t.forecast JOIN forecast_parts p ON p.key = f.key AND p.name = ?;

-- name: AddEntry :exec
INSERT INTO entries (id, version, tank, base, state, kind, at, moves, body, sum, author, received_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?);

-- name: EntryVersions :many
SELECT * FROM entries WHERE id = ? ORDER BY version;

-- name: RetireEntry :exec
UPDATE entries SET state = 'old' WHERE id = ? AND state = 'current';

-- name: SettleEntries :exec
UPDATE entries SET state = 'settled' WHERE id = ? AND state = 'conflict';

-- name: EntriesBefore :many
SELECT * FROM entries WHERE tank = sqlc.arg(tank) AND state = 'current' AND (at < sqlc.arg(at) OR (at = sqlc.arg(at) AND id < sqlc.arg(id))) ORDER BY at DESC, id DESC LIMIT sqlc.arg(most);

-- name: EntriesOfKindBefore :many
SELECT * FROM entries WHERE tank = sqlc.arg(tank) AND state = 'current' AND kind = sqlc.arg(kind) AND (at < sqlc.arg(at) OR (at = sqlc.arg(at) AND id < sqlc.arg(id))) ORDER BY at DESC, id DESC LIMIT sqlc.arg(most);

-- name: AllEntries :many
SELECT * FROM entries WHERE tank = ? AND state = 'current' ORDER BY at, id;

-- name: Conflicts :many
SELECT * FROM entries WHERE tank = ? AND state = 'conflict' ORDER BY id, version;

-- name: CountEntries :many
SELECT tank, COUNT(*) AS entries, CAST(MAX(at) AS TEXT) AS latest, CAST(SUM(state = 'conflict') AS INTEGER) AS conflicts,
    CAST(MAX(moves * received_ms) AS INTEGER) AS moved_ms
FROM entries WHERE state IN ('current', 'conflict') GROUP BY tank;

-- name: Movers :many
SELECT * FROM entries WHERE tank = ? AND state = 'current' AND moves = 1 ORDER BY at, id;

-- name: AddPhoto :exec
INSERT INTO photos (id, tank, sha, mark, at, width, height, bytes, author, made_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?);

-- name: Photo :one
SELECT * FROM photos WHERE id = ?;

-- name: Photos :many
SELECT * FROM photos WHERE tank = ? ORDER BY at DESC, id;

-- name: DeletePhoto :execrows
DELETE FROM photos WHERE id = ?;

-- name: PhotosOfSum :one
SELECT COUNT(*) FROM photos WHERE sha = ?;

-- name: SumsOfTank :many
SELECT DISTINCT sha FROM photos WHERE tank = ?;

-- name: AddUser :exec
INSERT INTO users (id, name, role, hash, made_ms) VALUES (?, ?, ?, ?, ?);

-- name: User :one
SELECT * FROM users WHERE id = ?;

-- name: UserByName :one
SELECT * FROM users WHERE name = ?;

-- name: Users :many
SELECT * FROM users ORDER BY name;

-- name: SetUser :execrows
UPDATE users SET role = ?, hash = ?, closed = ? WHERE id = ?;

-- name: Session :one
SELECT data, expiry_ms FROM sessions WHERE token = ?;

-- name: PutSession :exec
INSERT INTO sessions (token, data, expiry_ms) VALUES (?, ?, ?) ON CONFLICT (token) DO UPDATE SET data = excluded.data, expiry_ms = excluded.expiry_ms;

-- name: DeleteSession :exec
DELETE FROM sessions WHERE token = ?;

-- name: SweepSessions :exec
DELETE FROM sessions WHERE expiry_ms < ?;

-- name: AddLink :exec
INSERT INTO links (id, tank, hash, name, made_ms, expiry_ms) VALUES (?, ?, ?, ?, ?, ?);

-- name: LinkByHash :one
SELECT * FROM links WHERE hash = ?;

-- name: Links :many
SELECT * FROM links WHERE tank = ? ORDER BY made_ms, id;

-- name: RevokeLink :execrows
UPDATE links SET revoked_ms = ? WHERE id = ? AND tank = ? AND revoked_ms = 0;

-- name: AddAudit :exec
INSERT INTO audit (at_ms, who, what, tank, status) VALUES (?, ?, ?, ?, ?);

-- name: AuditBefore :many
SELECT * FROM audit WHERE number < ? ORDER BY number DESC LIMIT ?;

-- name: Setting :one
SELECT value FROM settings WHERE key = ?;

-- name: PutSetting :exec
INSERT INTO settings (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value;

-- name: PutPalette :exec
INSERT INTO palettes (id, name, species, author, changed_ms) VALUES (?, ?, ?, ?, ?)
ON CONFLICT (id) DO UPDATE SET name = excluded.name, species = excluded.species, author = excluded.author, changed_ms = excluded.changed_ms;

-- name: Palettes :many
SELECT * FROM palettes ORDER BY name, id;

-- name: DeletePalette :execrows
DELETE FROM palettes WHERE id = ?;
