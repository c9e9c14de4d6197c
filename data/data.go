// Package data holds the shipped base and the invented demo shop.
//
// The base is authored in base/*.yaml. Parsing that much YAML would take longer
// than a command may take to start, so a decoded copy, base.gob, is embedded
// beside it; it is used only when its digest is that of the embedded YAML.
// After editing the YAML run: go generate ./data
package data

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/gob"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"

	"sootsayer/kb"
)

//go:generate go run ./gen

//go:embed base/*.yaml
var files embed.FS

//go:embed base.gob
var decoded []byte

// Files returns the shipped base's YAML files.
func Files() fs.FS {
	sub, err := fs.Sub(files, "base")
	if err != nil {
		panic(err) // the folder is embedded; it cannot be missing
	}
	return sub
}

// Digest returns a digest of the shipped base's files, names and contents.
func Digest(fsys fs.FS) (string, error) {
	h := sha256.New()
	names, err := fs.Glob(fsys, "*.yaml")
	if err != nil {
		return "", err
	}
	for _, name := range names {
		content, err := fs.ReadFile(fsys, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n", name, len(content))
		h.Write(content)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// Base returns the shipped base.
func Base() (*kb.Base, error) {
	digest, err := Digest(Files())
	if err != nil {
		return nil, err
	}
	if b, err := Decode(bytes.NewReader(decoded), digest); err == nil {
		return b, nil
	}
	b, problems := kb.Load(Files())
	if errs := problems.Errors(); len(errs) > 0 {
		return nil, errs
	}
	return b, nil
}

// Encode writes a base and the digest of the files it was read from.
func Encode(w io.Writer, b *kb.Base, digest string) error {
	enc := gob.NewEncoder(w)
	if err := enc.Encode(digest); err != nil {
		return err
	}
	return enc.Encode(b)
}

// Decode reads what Encode wrote; a digest other than the wanted one is an
// error.
func Decode(r io.Reader, digest string) (*kb.Base, error) {
	dec := gob.NewDecoder(r)
	var have string
	if err := dec.Decode(&have); err != nil {
		return nil, err
	}
	if have != digest {
		return nil, fmt.Errorf("the decoded base is of other files; run: go generate ./data")
	}
	b := new(kb.Base)
	if err := dec.Decode(b); err != nil {
		return nil, err
	}
	return b, nil
}
