package learn

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"sootsayer/kb"
)

// Read returns counts written earlier with encoding/json, ready to go on
// counting for the same base. Counts of another version, half-life or list of
// outcomes, and what is no counts at all, are an error: count the closed jobs
// again. That the base's rows are the same is for the caller to know, by a
// digest of the base kept beside the counts.
func Read(b *kb.Base, data []byte) (*Counts, error) {
	read := Counts{}
	if err := json.Unmarshal(data, &read); err != nil {
		return nil, fmt.Errorf("stored counts cannot be read; count the closed jobs again: %w", err)
	}
	if read.Version != version {
		return nil, fmt.Errorf("stored counts are of version %d, this program writes version %d; count the closed jobs again", read.Version, version)
	}
	if err := read.whole(); err != nil {
		return nil, err
	}
	c := New(b)
	if err := c.Merge(&read); err != nil {
		return nil, err
	}
	return c, nil
}

// whole tells whether nothing is missing inside counts that were read.
func (c *Counts) whole() error {
	for id, f := range c.Families {
		if f == nil {
			return fmt.Errorf("stored counts hold nothing for family %q; count the closed jobs again", id)
		}
	}
	for key, t := range c.Tables {
		if t == nil || !t.whole() {
			return fmt.Errorf("stored counts of %q do not match their outcomes; count the closed jobs again", key)
		}
	}
	for id, f := range c.Fixes {
		if f == nil || !f.whole() {
			return fmt.Errorf("stored counts of fix %q hold nothing, or no number of pieces; count the closed jobs again", id)
		}
	}
	return nil
}

// whole tells whether there are counts for every family and the pieces of parts
// are numbers as they are written here.
func (f *FixCounts) whole() bool {
	for _, p := range f.Pieces {
		if p == nil {
			return false
		}
		for _, table := range p.Parts {
			for key := range table {
				if qty, err := strconv.ParseFloat(key, 64); err != nil || !(qty > 0) || math.IsInf(qty, 1) || pieceKey(qty) != key {
					return false
				}
			}
		}
	}
	return true
}

// whole tells whether every row has a weight for each outcome.
func (t *TableCounts) whole() bool {
	if n := len(t.Normally.Weights); n != len(t.Outcomes) && t.Normally.Jobs != 0 {
		return false
	}
	for _, row := range t.Rows {
		if len(row.Weights) != len(t.Outcomes) {
			return false
		}
	}
	return true
}
