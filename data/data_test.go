package data

import (
	"bytes"
	"encoding/json"
	"testing"

	"sootsayer/kb"
)

// TestDecodedBaseIsCurrent fails when the YAML was edited and the decoded copy
// was not written anew, or holds something else.
func TestDecodedBaseIsCurrent(t *testing.T) {
	digest, err := Digest(Files())
	if err != nil {
		t.Fatal(err)
	}
	b, err := Decode(bytes.NewReader(decoded), digest)
	if err != nil {
		t.Fatalf("base.gob: %v; run: go generate ./data", err)
	}
	want, problems := kb.Load(Files())
	if errs := problems.Errors(); len(errs) > 0 {
		t.Fatal(errs)
	}
	got, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	authored, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, authored) {
		t.Error("base.gob differs from base/*.yaml; run: go generate ./data")
	}
}

// TestShippedBaseIsClean: the shipped base has no errors and no warnings.
func TestShippedBaseIsClean(t *testing.T) {
	b, problems := kb.Load(Files())
	for _, p := range append(problems, b.Lint()...) {
		t.Error(p)
	}
}

// BenchmarkBase is what every command pays for the shipped base.
func BenchmarkBase(b *testing.B) {
	for b.Loop() {
		if _, err := Base(); err != nil {
			b.Fatal(err)
		}
	}
}
