package shop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"

	"sootsayer/kb/journal"
)

// verifyCounts compares the counts kept beside the journal, brought up to date,
// with all jobs counted anew. A journal that is not sound is not counted.
func (s *Shop) verifyCounts(ctx context.Context, v *Verification, repair bool) (PartReport, error) {
	part := PartReport{Part: "counts", State: PartUnchecked, Says: "they depend on the base and the journal."}
	if s.base == nil || v.Journal == nil || !v.Journal.OK() {
		return part, nil
	}
	st, err := journal.Open(s.cfg.Store, s.journalOptions())
	if err != nil {
		return part, err
	}
	defer st.Close()
	s.journal = st
	if err := s.compareCounts(&part); err != nil {
		return part, err
	}
	if repair && (part.State == PartWrong || part.State == PartOutdated) {
		s.countAnew(&part)
	}
	return part, ctx.Err()
}

// countAnew removes the kept counts and writes fresh ones.
func (s *Shop) countAnew(part *PartReport) {
	if err := os.Remove(s.derivedPath()); err != nil {
		part.State, part.Wrong = PartWrong, append(part.Wrong, fmt.Sprintf("they cannot be removed: %v", err))
		return
	}
	s.derived = nil
	s.keepDerived()
	part.State, part.Says = PartRepaired, "they were counted anew from the jobs."
}

// compareCounts says how the kept counts stand to fresh ones.
func (s *Shop) compareCounts(part *PartReport) error {
	raw, err := os.ReadFile(s.derivedPath())
	if errors.Is(err, fs.ErrNotExist) {
		part.State, part.Says = PartAbsent, "none are kept; the next command counts the jobs."
		return nil
	}
	wrong := func(format string, args ...any) {
		part.State, part.Says = PartWrong, "they are derived data: nothing is lost with them."
		part.Wrong = append(part.Wrong, filepath.Base(s.derivedPath())+": "+fmt.Sprintf(format, args...))
	}
	var head derived
	if err == nil {
		err = json.Unmarshal(raw, &head)
	}
	if err != nil {
		wrong("cannot be read: %v", err)
		return nil
	}
	id, err := s.journal.ID()
	if err != nil {
		return err
	}
	if head.Version != derivedVersion || head.Journal != id || head.Base != s.digest {
		part.State, part.Says = PartOutdated, "they are of another base, journal or version; the next command counts anew."
		return nil
	}
	kept := s.readDerived()
	if kept == nil {
		wrong("holds no counts for this base")
		return nil
	}
	seq, err := s.journal.Seq()
	if err != nil {
		return err
	}
	if kept.Seq > seq {
		wrong("counts %d events where the journal has %d", kept.Seq, seq)
		return nil
	}
	return s.compareWith(kept, part, wrong)
}

func (s *Shop) compareWith(kept *derived, part *PartReport, wrong func(string, ...any)) error {
	if err := s.catchUp(kept); err != nil {
		return err
	}
	fresh, err := s.recount()
	if err != nil {
		return err
	}
	part.State, part.Says = PartSound, "they agree with all jobs counted anew."
	for _, d := range differences(kept.numbers(), fresh.numbers()) {
		wrong("%s", d)
	}
	return nil
}

// mostDifferences is how many differences are told; one fault tends to make
// many.
const mostDifferences = 20

// countTolerance is how far sums of weights may differ, which were added up in
// another order.
const countTolerance = 1e-9

// differences compares numbers by name.
func differences(kept, fresh map[string]float64) []string {
	names := maps.Clone(kept)
	maps.Copy(names, fresh)
	var out []string
	more := 0
	for _, name := range slices.Sorted(maps.Keys(names)) {
		k, f := kept[name], fresh[name]
		if math.Abs(k-f) <= countTolerance*max(1, math.Abs(k), math.Abs(f)) {
			continue
		}
		if len(out) == mostDifferences {
			more++
			continue
		}
		out = append(out, fmt.Sprintf("%s is %g where the jobs make it %g", name, k, f))
	}
	if more > 0 {
		out = append(out, fmt.Sprintf("%d more numbers differ", more))
	}
	return out
}

// numbers lists every number of the derived data by name; a job that is open
// stands with the second it was last acted on.
func (d *derived) numbers() map[string]float64 {
	out := maps.Collect(d.counts.Numbers())
	for id, o := range d.Open {
		out[fmt.Sprintf("open job %s, last act by %q", id, o.By)] = float64(o.At.Unix())
	}
	return out
}
