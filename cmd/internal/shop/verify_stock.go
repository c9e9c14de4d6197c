package shop

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"sootsayer/kb/journal"
)

// verifyStock compares the movements of parts kept beside the journal, brought up
// to date, with all events read anew. A journal that is not sound is not read.
func (s *Shop) verifyStock(v *Verification, repair bool) (PartReport, error) {
	part := PartReport{Part: "stock", State: PartUnchecked, Says: "what is kept of parts depends on the journal."}
	if v.Journal == nil || !v.Journal.OK() {
		return part, nil
	}
	if _, err := os.Stat(s.stockPath()); errors.Is(err, fs.ErrNotExist) {
		part.State, part.Says = PartAbsent, "nothing is kept of parts; the next command on them reads the events."
		return part, nil
	}
	st, err := journal.Open(s.cfg.Store, s.journalOptions())
	if err != nil {
		return part, err
	}
	s.journal = st
	defer func() { s.journal = nil }()
	defer st.Close()
	all := new(stockLog)
	if err := all.catchUp(st); err != nil {
		return part, err
	}
	if err := s.compareStock(&part, all); err != nil {
		return part, err
	}
	if repair && (part.State == PartWrong || part.State == PartOutdated) {
		s.stock = all
		if s.keepStock(); all.changed {
			part.State, part.Wrong = PartWrong, append(part.Wrong, filepath.Base(s.stockPath())+" cannot be written")
			return part, nil
		}
		part.State, part.Says = PartRepaired, "what is kept of parts was made anew from the events."
	}
	return part, nil
}

// compareStock says how the kept movements stand to all of them.
func (s *Shop) compareStock(part *PartReport, all *stockLog) error {
	f, err := readStockFile(s.stockPath())
	var kept *stockLog
	if err == nil && f.Version == stockVersion {
		kept, err = f.log()
	}
	wrong := func(format string, args ...any) {
		part.State, part.Says = PartWrong, "what is kept of parts is derived data: nothing is lost with it."
		part.Wrong = append(part.Wrong, filepath.Base(s.stockPath())+": "+fmt.Sprintf(format, args...))
	}
	if err != nil {
		wrong("cannot be read: %v", err)
		return nil
	}
	id, err := s.journal.ID()
	if err != nil {
		return err
	}
	if kept == nil || f.Journal != id || !s.goesOn(f) {
		part.State, part.Says = PartOutdated, "what is kept of parts is of another journal or version; the next command on them makes it anew."
		return nil
	}
	if err := kept.catchUp(s.journal); err != nil {
		return err
	}
	part.State, part.Says = PartSound, "what is kept of parts agrees with the events."
	if !slices.Equal(kept.moves, all.moves) {
		wrong("holds %d movements of parts that differ from the %d of the events", len(kept.moves), len(all.moves))
	}
	if !slices.Equal(kept.calls, all.calls) {
		wrong("holds %d calls that differ from the %d of the events", len(kept.calls), len(all.calls))
	}
	return nil
}
