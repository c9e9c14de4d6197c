package shop

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"

	"sootsayer/kb"
)

// seeChanged is where a person reads what the base no longer has.
const seeChanged = "see: sootsayer base changed"

// goneThings is a set of things that jobs name and the base no longer has.
type goneThings struct {
	Set  string `json:"set"`  // its digest
	Jobs int    `json:"jobs"` // that name one of them
}

// tellGone gives notice that jobs name things which the base no longer has: once
// for each set of things, whichever command met it first.
func (s *Shop) tellGone(d *derived) {
	if s.unheard || d.Gone.Set == d.Told {
		return
	}
	d.Told, d.changed = d.Gone.Set, true
	switch n := d.Gone.Jobs; {
	case n == 1:
		s.cfg.Notice("1 job names things the base no longer has; " + seeChanged)
	case n > 1:
		s.cfg.Notice(fmt.Sprintf("%d jobs name things the base no longer has; %s", n, seeChanged))
	}
}

// lastTold is what the derived data that is kept says of the last notice, of
// whatever base it is.
func (s *Shop) lastTold() string {
	var kept struct {
		Told string `json:"told"`
	}
	if raw, err := os.ReadFile(s.derivedPath()); err != nil || json.Unmarshal(raw, &kept) != nil {
		return ""
	}
	return kept.Told
}

// evidence returns the acts of a job that evidence can be made of with the base
// of today, and gives notice of what it leaves out.
//
// A hold errs to the safe side: where a check that begins one had a result that
// the base no longer has, it has to be done again before anything is advised.
func (s *Shop) evidence(j *kb.Job) ([]kb.Act, error) {
	if _, ok := s.base.Family(j.Family); !ok && j.Family != "" {
		return nil, fmt.Errorf("job %s is of the family %q, which the base no longer has; %s", j.ID, j.Family, seeChanged)
	}
	acts, left := s.base.KnownActs(j)
	if len(left) == 0 {
		return acts, nil
	}
	var names []string
	for _, m := range left {
		if check := heldUpBy(s.base, j, m); check != "" {
			return nil, fmt.Errorf("job %s: %s is no longer in the base, and a safety hold depends on that check; do it again and record what you find: sootsayer job record %s %s=RESULT",
				j.ID, GoneName(m), j.ID, check)
		}
		names = append(names, GoneName(m))
	}
	text := fmt.Sprintf("job %s: not counted, because the base no longer has it: %s; if it was a sign of danger it still is one; %s", j.ID, strings.Join(names, ", "), seeChanged)
	if !slices.Contains(s.told, text) {
		s.told = append(s.told, text)
		s.cfg.Notice(text)
	}
	return acts, nil
}

// heldUpBy returns the check of a missing outcome or reading that may have begun
// a hold of the job's family; "" where it cannot have, or where the check was done
// again since.
func heldUpBy(b *kb.Base, j *kb.Job, m kb.Missing) string {
	check := m.Of
	switch m.Kind {
	case kb.KindOutcome:
	case kb.KindReading:
		check = m.ID
	default:
		return ""
	}
	begins := func(h kb.Hold) bool { return h.When.Check == check && kb.In(h.Families, j.Family) }
	if !slices.ContainsFunc(b.Holds, begins) {
		return ""
	}
	for i := len(j.Acts) - 1; i >= 0; i-- {
		if f := j.Acts[i].Finding; f == nil || f.Kind != kb.KindCheck || f.ID != check {
			continue
		}
		if _, gone := b.KnownActs(&kb.Job{Family: j.Family, Acts: j.Acts[i : i+1]}); len(gone) == 0 {
			return ""
		}
		break
	}
	return check
}

// GoneName names a missing thing in words, such as: outcome "low" of check draft.
func GoneName(m kb.Missing) string {
	switch m.Kind {
	case kb.KindOutcome:
		return fmt.Sprintf("outcome %q of %s", m.ID, m.Of)
	case kb.KindValue:
		return fmt.Sprintf("value %q of state %s", m.ID, m.Of)
	case kb.KindReading:
		return "a reading of check " + m.ID
	}
	return m.Kind + " " + m.ID
}
