// Package sqlite keeps the store in one SQLite file. The statements are in queries/, the tables in migrations/; package db is generated
// from both by sqlc (make sqlc) and committed. Times are milliseconds since 1970, UTC.
//
// Plans, forecasts and people are written with the write-ahead log's usual care (a crash of the program loses nothing); the journal
// goes over a connection of its own that waits for the disk (synchronous FULL), so that not even a power cut loses what was
// acknowledged.
package sqlite
