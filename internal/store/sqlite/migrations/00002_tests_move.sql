-- A forecast goes on from what was measured.
-- +goose Up
UPDATE entries SET moves = 1 WHERE kind = 'test';

-- +goose Down
UPDATE entries SET moves = 0 WHERE kind = 'test';
