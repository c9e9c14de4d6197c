package shop

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"time"

	"sootsayer/kb"
)

// mostGone is how many different things are told apart that the base no longer
// has; what a base ever had is far less, so the rest is only counted.
const mostGone = 5000

// survey collects what the journal names and the base does not have. It holds
// each thing once, however many jobs name it.
type survey struct {
	base   *kb.Base
	things map[kb.Missing]*met
	jobs   int // that name something of it
	more   int // times that something was met beyond mostGone things
}

// met is how often a thing was met.
type met struct {
	jobs, others int
	last         time.Time
}

func newSurvey(b *kb.Base) *survey { return &survey{base: b, things: make(map[kb.Missing]*met)} }

// take looks through a job, given in today's ids, and returns what is missing.
func (v *survey) take(j *kb.Job) []kb.Missing {
	list := v.base.Missing(j)
	if len(list) == 0 {
		return nil
	}
	v.jobs++
	for _, m := range list {
		if x := v.thing(m); x != nil {
			x.jobs++
			x.last = later(x.last, lastActed(j))
		}
	}
	return list
}

// other notes a thing that something else than a job names.
func (v *survey) other(m kb.Missing, at time.Time) {
	if x := v.thing(m); x != nil {
		x.others++
		x.last = later(x.last, at)
	}
}

// thing returns what is known of a thing; nil where there are too many.
func (v *survey) thing(m kb.Missing) *met {
	if v.things[m] == nil {
		if len(v.things) == mostGone {
			v.more++
			return nil
		}
		v.things[m] = new(met)
	}
	return v.things[m]
}

// lastActed is when a job was closed, or when it was last acted on.
func lastActed(j *kb.Job) time.Time {
	switch n := len(j.Acts); {
	case j.Closed():
		return j.Closing.At
	case n > 0:
		return later(j.Opened, j.Acts[n-1].At)
	}
	return j.Opened
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// digest names the set of things that are missing, "" for none.
func (v *survey) digest() string {
	if len(v.things) == 0 {
		return ""
	}
	var lines []string
	for m := range maps.Keys(v.things) {
		lines = append(lines, fmt.Sprintf("%q", []string{m.Kind, m.ID, m.Of, m.Family}))
	}
	slices.Sort(lines)
	h := sha256.New()
	for _, l := range lines {
		fmt.Fprintln(h, l)
	}
	return hex.EncodeToString(h.Sum(nil))
}
