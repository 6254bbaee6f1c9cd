package main

import (
	"bytes"
	"os"
	"testing"
)

// The demo's stone must be what this program makes, or nobody could make it again.
func TestStoneIsTheOneInTheDemo(t *testing.T) {
	want, err := os.ReadFile("../../examples/quay-street-library/meshes/ledge-stone.obj")
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	write(&got)
	if !bytes.Equal(got.Bytes(), want) {
		t.Error("the stone in the demo is not the one that this program makes: run go run ./tools/stone > examples/quay-street-library/meshes/ledge-stone.obj")
	}
}
