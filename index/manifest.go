package index

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// formatVersion changes with everything that changes what a text is indexed
// as: the analyzer, its word lists, the fields. The golden test of the analyzer
// reminds of it.
const formatVersion = 2

// bleveVersion is the version of bleve in go.mod; a test compares them.
const bleveVersion = "v2.6.3"

// manifestName is the file beside bleve's that says what the folder holds.
const manifestName = "manifest.json"

// manifest says what an index was built from and what its files must hold.
// bleve notices a truncated file but not a flipped bit, hence the digests.
type manifest struct {
	Format  int        `json:"format"`
	Bleve   string     `json:"bleve"`
	Key     string     `json:"key"` // see keyOf and jobsKey
	Entries int        `json:"entries"`
	Journal string     `json:"journal,omitempty"` // of past jobs: see JobStamp
	Seq     uint64     `json:"seq,omitempty"`
	Last    string     `json:"last,omitempty"`
	Files   []fileMark `json:"files"`
	Seal    string     `json:"seal"` // digest of the manifest with an empty seal
}

// fileMark is the digest of one file, its path relative to the manifest.
type fileMark struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// seal returns the digest of the manifest without its seal.
func (m manifest) seal() string {
	m.Seal = ""
	text, err := json.Marshal(m)
	if err != nil { // no field of the manifest can fail to be written
		panic(err)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// write describes the files in dir, in a manifest beside them.
func (m manifest) write(dir string) error {
	m.Format, m.Bleve, m.Files = formatVersion, bleveVersion, nil
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		mark, err := markFile(dir, filepath.ToSlash(name))
		m.Files = append(m.Files, mark)
		return err
	})
	if err != nil {
		return err
	}
	m.Seal = m.seal()
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, manifestName), append(text, '\n'), 0o600)
}

// markFile computes the digest of a file.
func markFile(dir, name string) (fileMark, error) {
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		return fileMark{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return fileMark{name, n, hex.EncodeToString(h.Sum(nil))}, err
}

// errDamaged says that the files of an index are not what was written.
var errDamaged = errors.New("damaged")

// readManifest reads the manifest of a folder. The error wraps fs.ErrNotExist
// when there is no folder, and errDamaged when the manifest is missing from it
// or changed.
func readManifest(dir string) (manifest, error) {
	if _, err := os.Stat(dir); err != nil {
		return manifest{}, err
	}
	text, err := os.ReadFile(filepath.Join(dir, manifestName))
	if err != nil {
		return manifest{}, fmt.Errorf("%s cannot be read (%v): %w", manifestName, err, errDamaged)
	}
	var m manifest
	if err := json.Unmarshal(text, &m); err != nil {
		return manifest{}, fmt.Errorf("%s is not JSON (%v): %w", manifestName, err, errDamaged)
	}
	if m.Seal != m.seal() {
		return manifest{}, fmt.Errorf("%s was changed: %w", manifestName, errDamaged)
	}
	return m, nil
}

// damage lists the files that are not what the manifest says.
func (m manifest) damage(dir string) []string {
	var out []string
	for _, want := range m.Files {
		got, err := markFile(dir, want.Name)
		switch {
		case err != nil:
			out = append(out, fmt.Sprintf("%s cannot be read (%v)", want.Name, err))
		case got.Bytes != want.Bytes:
			out = append(out, fmt.Sprintf("%s holds %d bytes instead of %d", want.Name, got.Bytes, want.Bytes))
		case got.SHA256 != want.SHA256:
			out = append(out, fmt.Sprintf("%s does not hold what was written", want.Name))
		}
	}
	return out
}
