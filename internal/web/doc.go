// Package web serves the shelf of tanks over HTTP: an API described by OpenAPI 3.1, and the pages built from ui/. Handlers check who asks,
// read what is asked, call the rooms below and write the answer; they compute nothing.
//
// Errors are problem documents (RFC 9457) with the cure as a member of its own. Nothing here makes a request to anywhere.
package web
