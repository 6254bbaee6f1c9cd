package main

import (
	"bytes"
	"littoral/internal/web"
	"os"
	"testing"
)

// TestAPIIsDescribed holds api/openapi.json, from which the pages' client is generated, to the code. UPDATE_GOLDEN=1 writes it anew.
func TestAPIIsDescribed(t *testing.T) {
	const file = "../../api/openapi.json"
	got, err := web.OpenAPI(version)
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("api/openapi.json is not what the program answers to; run \"make api\" and look at what changed")
	}
}
