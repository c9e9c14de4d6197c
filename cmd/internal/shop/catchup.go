package shop

import (
	"maps"
	"slices"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// stretch is how many events are taken in at once. Of each stretch the jobs
// that it names are held in memory, as they were before it and as they are
// after it, however long the journal is.
const stretch = 4096

// emptyDerived is what is worked out from no event at all.
func (s *Shop) emptyDerived() (*derived, error) {
	id, err := s.journal.ID()
	return &derived{Version: derivedVersion, Journal: id, Base: s.digest, Open: make(map[string]openJob), counts: learn.New(s.base), Told: s.lastTold(), changed: true}, err
}

// recount works the derived data out from all jobs.
func (s *Shop) recount() (*derived, error) {
	d, err := s.emptyDerived()
	if err != nil {
		return nil, err
	}
	if d.Seq, err = s.journal.Seq(); err != nil {
		return nil, err
	}
	if d.Last, err = s.eventAt(d.Seq); err != nil {
		return nil, err
	}
	gone := newSurvey(s.base)
	for j, err := range s.Jobs() {
		if err != nil {
			return nil, err
		}
		c, err := s.counting(&j, d.Seq)
		if err != nil {
			return nil, err
		}
		c.add(d.counts)
		gone.take(&j)
		d.note(j.ID, &j)
	}
	d.Gone = goneThings{gone.digest(), gone.jobs}
	return d, nil
}

// catchUp takes in the events since d was worked out. On an error d is of no use
// any more.
func (s *Shop) catchUp(d *derived) error { return s.catchUpBy(d, stretch) }

// catchUpBy takes so many events in at once.
func (s *Shop) catchUpBy(d *derived, stretch uint64) error {
	seq, last := d.Seq, d.Last
	touched := make(map[string]bool)
	for e, err := range s.journal.EventsSince(d.Seq) {
		if err != nil {
			return err
		}
		seq, last = e.Seq, e.ID
		if e.Job != "" {
			touched[e.Job] = true
		}
		if seq-d.Seq < stretch {
			continue
		}
		if err := s.takeIn(d, seq, last, touched); err != nil {
			return err
		}
		clear(touched)
	}
	return s.takeIn(d, seq, last, touched)
}

// takeIn brings d to an arrival number, given the jobs that are named by the
// events since. Each of them, and each earlier job of which one is or was the
// callback, is taken back as it was counted and counted as it stands now.
func (s *Shop) takeIn(d *derived, seq uint64, last string, touched map[string]bool) error {
	if seq == d.Seq {
		return nil
	}
	before, after := s.asOf(d.Seq), s.asOf(seq)
	ids := maps.Clone(touched)
	for id := range touched {
		for _, then := range []*asOf{before, after} {
			j, err := then.job(id)
			if err != nil {
				return err
			}
			if j != nil && j.CallbackOf != "" {
				ids[j.CallbackOf] = true
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) { // sums of weights depend on the order in their last digit
		if err := d.move(id, before, after); err != nil {
			return err
		}
	}
	d.Seq, d.Last, d.changed = seq, last, true
	return nil
}

// move takes one job from what it was to what it is.
func (d *derived) move(id string, before, after *asOf) error {
	now, err := after.job(id)
	if err != nil || now == nil {
		return err // a callback may name a job that is not there yet
	}
	is, err := after.shop.counting(now, after.seq)
	if err != nil {
		return err
	}
	was := counting{}
	if then, err := before.job(id); err != nil {
		return err
	} else if then != nil {
		if was, err = before.shop.counting(then, before.seq); err != nil {
			return err
		}
	}
	if !was.none() || !is.none() {
		was.remove(d.counts)
		is.add(d.counts)
		d.moves++
	}
	d.note(id, now)
	return nil
}

// note remembers whether a job is open, and when it was last acted on.
func (d *derived) note(id string, j *kb.Job) {
	if j.Closed() {
		delete(d.Open, id)
		return
	}
	last := openJob{At: j.Opened, By: j.By}
	if n := len(j.Acts); n > 0 {
		last = openJob{At: j.Acts[n-1].At, By: j.Acts[n-1].By}
	}
	d.Open[id] = last
}
