package index

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
)

// keyOf names what an index was built from: our format, bleve's version and
// everything that is indexed.
func keyOf(entries []entry, synonyms [][]string) string {
	h := sha256.New()
	w := bufio.NewWriter(h) // a hash never fails, so neither does this
	fmt.Fprintf(w, "sootsayer index %d, bleve %s\n", formatVersion, bleveVersion)
	digestText(w, entries, synonyms)
	w.Flush()
	return hex.EncodeToString(h.Sum(nil))
}

// digestText writes everything that is indexed, each text with its length, so
// that no two bases can read the same.
func digestText(w *bufio.Writer, entries []entry, synonyms [][]string) {
	number := func(n int) {
		w.WriteString(strconv.Itoa(n))
		w.WriteByte(':')
	}
	text := func(s string) {
		number(len(s))
		w.WriteString(s)
	}
	number(len(entries))
	for _, e := range entries {
		text(e.kind)
		text(e.id)
		number(len(e.texts))
		for _, t := range e.texts {
			text(t.source)
			text(t.text)
		}
	}
	number(len(synonyms))
	for _, g := range synonyms {
		number(len(g))
		for _, s := range g {
			text(s)
		}
	}
}
