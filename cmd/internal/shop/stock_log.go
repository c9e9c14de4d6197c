package shop

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// stockLog is every movement of parts that the journal tells of, in the order in
// which they count, and every call that was closed. It is kept beside the journal
// (stock_file.go), for to read all events again takes a hundred times as long,
// and is brought up to date by the events that came since. It speaks in ids as
// they were recorded, so that it holds for any base. It may be deleted at any
// time.
type stockLog struct {
	seq     uint64 // events taken in
	last    string // id of the last of them
	moves   []stock.Movement
	calls   []Call
	changed bool
}

// Call is one stretch of a job that was closed: one visit, whether or not it took
// a part.
type Call struct {
	At     time.Time
	Job    string
	Family string
}

// stockNow returns the log as of now; an empty one where nothing is recorded.
func (s *Shop) stockNow() (*stockLog, error) {
	if s.journal == nil {
		return new(stockLog), nil
	}
	if s.stock == nil {
		if s.stock = s.readStock(); s.stock == nil {
			s.stock = new(stockLog)
		}
	}
	if err := s.stock.catchUp(s.journal); err != nil {
		s.stock = nil // it may be half way
		return nil, err
	}
	return s.stock, nil
}

// catchUp takes in the events since the log was worked out. What a job took is
// worked out anew from all of its events when one of them can have changed it.
func (l *stockLog) catchUp(st *journal.Store) error {
	touched, known := make(map[string]bool), l.jobs()
	var fresh []stock.Movement
	seq := l.seq
	for e, err := range st.EventsSince(l.seq) {
		if err != nil {
			return err
		}
		l.seq, l.last = e.Seq, e.ID
		switch e.Kind {
		case journal.KindPartUsed:
			if e.Job != "" {
				touched[e.Job] = true
				continue
			}
			fallthrough
		case journal.KindPartCounted, journal.KindPartReceived, journal.KindPartOrdered, journal.KindPartMoved:
			fresh = append(fresh, movementOf(e.Event))
		case journal.KindJobClosed, journal.KindJobReopened:
			touched[e.Job] = true
		case journal.KindJobOpened, journal.KindFindingWithdrawn:
			if known[e.Job] {
				touched[e.Job] = true // its family, or what it took
			}
		}
	}
	if l.seq == seq {
		return nil
	}
	l.changed = true
	return l.replace(st, touched, fresh)
}

// jobs are the jobs that the log holds something of.
func (l *stockLog) jobs() map[string]bool {
	known := make(map[string]bool, len(l.calls))
	for i := range l.calls {
		known[l.calls[i].Job] = true
	}
	for i := range l.moves {
		if job := l.moves[i].Job; job != "" {
			known[job] = true
		}
	}
	return known
}

// replace puts what jobs took now in the place of what they took before, and
// adds other movements.
func (l *stockLog) replace(st *journal.Store, jobs map[string]bool, fresh []stock.Movement) error {
	if len(jobs) > 0 {
		l.moves = slices.DeleteFunc(l.moves, func(m stock.Movement) bool { return jobs[m.Job] })
		l.calls = slices.DeleteFunc(l.calls, func(c Call) bool { return jobs[c.Job] })
	}
	for _, job := range slices.Sorted(maps.Keys(jobs)) {
		events, err := st.Events(job)
		if err != nil {
			return err
		}
		moves, calls := jobMovements(job, events)
		fresh = append(fresh, moves...)
		l.calls = append(l.calls, calls...)
	}
	l.moves = stock.InOrder(append(l.moves, fresh...))
	slices.SortFunc(l.calls, func(a, b Call) int {
		return cmp.Or(a.At.Compare(b.At), strings.Compare(a.Job, b.Job))
	})
	return nil
}

// movementOf reads an event of a part that belongs to no job.
func movementOf(e journal.Event) stock.Movement {
	m := stock.Movement{At: e.At, ID: e.ID, Part: e.Part, Place: e.Place, To: e.To, By: e.By}
	if e.Qty != nil {
		m.Qty = *e.Qty
	}
	switch e.Kind {
	case journal.KindPartCounted:
		m.Kind = stock.Counted
	case journal.KindPartReceived:
		m.Kind = stock.Received
	case journal.KindPartUsed:
		m.Kind = stock.Used
	case journal.KindPartMoved:
		m.Kind = stock.Moved
	case journal.KindPartOrdered:
		m.Kind = stock.Ordered
	}
	return m
}

// jobMovements are what a job took, and its calls, given all of its events in
// order: what a closing states when and where that says, what was booked besides
// at its own time and place.
func jobMovements(job string, events []journal.Event) (moves []stock.Movement, calls []Call) {
	family := ""
	if i := slices.IndexFunc(events, func(e journal.Event) bool { return e.Kind == journal.KindJobOpened }); i >= 0 {
		family = events[i].Family
	}
	for n, st := range journal.Stretches(events) {
		if c := st.Closing; c != nil {
			calls = append(calls, Call{At: c.At, Job: job, Family: family})
			for _, part := range slices.Sorted(maps.Keys(c.Used)) {
				moves = append(moves, stock.Movement{At: c.At, ID: st.Event, Kind: stock.Used, Part: part, Qty: c.Used[part], Place: c.From, By: c.By,
					Job: job, Stretch: n + 1, Family: family})
			}
		}
		for _, e := range st.Booked {
			m := movementOf(e)
			m.Job, m.Stretch, m.Family = job, n+1, family
			moves = append(moves, m)
		}
	}
	return moves, calls
}
