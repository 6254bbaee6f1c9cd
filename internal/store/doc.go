// Package store says what is kept of tanks, and how: plans with their whole history, finished forecasts, the journal, photos, people and
// what they did. Store is the one interface that a database has to serve; storetest holds every database to the same answers. The
// photos lie beside the database in a folder by the hash of their content (Album), and Backup and Restore pack both
// into one archive.
//
// Nothing is lost: a revision and an entry are only ever added to, an entry that two people changed at once is kept in both
// versions, and what a call has answered is on the disk.
package store
