package shop

import (
	"cmp"
	"fmt"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// StockLine is what was recorded of one part, and how the books stand after it.
type StockLine struct {
	Part  string    `json:"part"`
	Qty   float64   `json:"qty"`
	At    time.Time `json:"at"`
	Place string    `json:"place,omitempty"`
	To    string    `json:"to,omitempty"`  // of a move
	Job   string    `json:"job,omitempty"` // of a use

	OnHand    *float64 `json:"on_hand"`              // at Place now; nil where no books have begun
	OnHandTo  *float64 `json:"on_hand_to,omitempty"` // at To now
	Elsewhere string   `json:"elsewhere,omitempty"`  // where no books have begun at Place: another place where they have
	OnOrder   float64  `json:"on_order"`
	Unordered float64  `json:"unordered,omitempty"`  // of a receipt: pieces that nobody had ordered
	Said      *float64 `json:"said,omitempty"`       // of a count: what the books said; nil where they begin with it
	Off       *float64 `json:"difference,omitempty"` // of a count: pieces more than they said
}

// Count records what somebody found at a place.
func (s *Shop) Count(place string, at time.Time, pieces []Pieces) ([]StockLine, error) {
	return s.recordParts(journal.KindPartCounted, at, pieces, func(e *journal.Event) { e.Place = place })
}

// Receive records what came in at a place. It belongs to what is on order.
func (s *Shop) Receive(place string, at time.Time, pieces []Pieces) ([]StockLine, error) {
	before, err := s.Books()
	if err != nil {
		return nil, err
	}
	lines, err := s.recordParts(journal.KindPartReceived, at, pieces, func(e *journal.Event) { e.Place = place })
	for i := range lines {
		p := before.Part(lines[i].Part)
		lines[i].Unordered = max(0, lines[i].Qty-p.OnOrder())
	}
	return lines, err
}

// Move records what went from one place to another.
func (s *Shop) Move(from, to string, at time.Time, pieces []Pieces) ([]StockLine, error) {
	if from == to {
		return nil, fmt.Errorf("%s is where the pieces are already; name two places", from)
	}
	return s.recordParts(journal.KindPartMoved, at, pieces, func(e *journal.Event) { e.Place, e.To = from, to })
}

// PutOnOrder records what was ordered; pieces below 0 were cancelled, no more
// than are on order.
func (s *Shop) PutOnOrder(at time.Time, pieces []Pieces) ([]StockLine, error) {
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	for _, p := range pieces {
		book := books.Part(p.Part)
		if open := book.OnOrder(); -p.Qty > open {
			return nil, fmt.Errorf("%g pieces of %s cannot be cancelled: %g are on order", -p.Qty, p.Part, open)
		}
	}
	return s.recordParts(journal.KindPartOrdered, at, pieces, func(*journal.Event) {})
}

// UseParts records what was taken at a place outside of jobs; pieces below 0
// were brought back.
func (s *Shop) UseParts(place string, at time.Time, pieces []Pieces) ([]StockLine, error) {
	return s.recordParts(journal.KindPartUsed, at, pieces, func(e *journal.Event) { e.Place = place })
}

// UsePartsOn records what a job took at a place, besides what its closing
// states.
func (s *Shop) UsePartsOn(job, place string, pieces []Pieces) ([]StockLine, error) {
	j, err := s.Job(job)
	if err != nil {
		return nil, err
	}
	if err := s.checkBroughtBack(&j, pieces); err != nil {
		return nil, err
	}
	events := s.partEvents(journal.KindPartUsed, time.Time{}, pieces, func(e *journal.Event) { e.Job, e.Place = job, place })
	if _, err := s.append(&j, events...); err != nil {
		return nil, err
	}
	return s.stockLines(events)
}

// checkBroughtBack refuses more pieces to be brought back than a job took since it
// was opened, or opened again.
func (s *Shop) checkBroughtBack(j *kb.Job, pieces []Pieces) error {
	log, err := s.stockNow()
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if p.Qty > 0 {
			continue
		}
		took := 0.0
		for i := range log.moves {
			if m := &log.moves[i]; m.Job == j.ID && m.Stretch == len(j.Past)+1 && s.partToday(m.Part) == p.Part {
				took += m.Qty
			}
		}
		if took+p.Qty < 0 {
			return fmt.Errorf("%g pieces of %s cannot be brought back: job %s took %g", -p.Qty, p.Part, j.ID, took)
		}
	}
	return nil
}

// recordParts records an event for each part, all or none.
func (s *Shop) recordParts(kind journal.Kind, at time.Time, pieces []Pieces, set func(*journal.Event)) ([]StockLine, error) {
	events := s.partEvents(kind, at, pieces, set)
	if _, err := s.journal.Append(events...); err != nil {
		return nil, err
	}
	return s.stockLines(events)
}

// partEvents makes an event for each part; a zero time is now.
func (s *Shop) partEvents(kind journal.Kind, at time.Time, pieces []Pieces, set func(*journal.Event)) []journal.Event {
	events := make([]journal.Event, len(pieces))
	for i, p := range pieces {
		e := s.journal.NewEvent(kind, "", s.cfg.By)
		if !at.IsZero() {
			e.At = at
		}
		e.Part, e.Qty = p.Part, new(p.Qty)
		set(&e)
		events[i] = e
	}
	return events
}

// stockLines tells how the books stand after events.
func (s *Shop) stockLines(events []journal.Event) ([]StockLine, error) {
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	lines := make([]StockLine, len(events))
	for i := range events {
		e := &events[i]
		p := books.Part(e.Part)
		l := StockLine{Part: e.Part, Qty: *e.Qty, At: e.At, Place: e.Place, To: e.To, Job: e.Job, OnOrder: p.OnOrder()}
		l.OnHand, l.OnHandTo = onHandAt(&p, e.Place), onHandAt(&p, e.To)
		if c := countOf(&p, e); c != nil && c.Said != nil {
			l.Said, l.Off = c.Said, new(c.Difference())
		}
		lines[i] = l
	}
	return lines, nil
}

// Taken tells what the last stretch of a job took, and how the books stand after
// it.
func (s *Shop) Taken(j *kb.Job) ([]StockLine, error) {
	if !j.Closed() || len(j.Closing.Used) == 0 {
		return nil, nil
	}
	log, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	var lines []StockLine
	for i := range log.moves {
		m := &log.moves[i]
		if m.Job != j.ID || m.Stretch != len(j.Past)+1 {
			continue
		}
		p, place := books.Part(s.partToday(m.Part)), cmp.Or(m.Place, stock.Shelf)
		l := StockLine{Part: p.Part, Qty: m.Qty, At: m.At, Place: place, Job: j.ID, OnHand: onHandAt(&p, place), OnOrder: p.OnOrder()}
		if l.OnHand == nil && len(p.Places) > 0 {
			l.Elsewhere = p.Places[0].Place
		}
		lines = append(lines, l)
	}
	return lines, nil
}

// onHandAt is what the books say of a place, nil where they have not begun.
func onHandAt(p *stock.PartBook, place string) *float64 {
	if at := p.At(place); at != nil {
		return new(at.OnHand)
	}
	return nil
}

// countOf finds the count that an event made.
func countOf(p *stock.PartBook, e *journal.Event) *stock.Count {
	at := p.At(e.Place)
	if at == nil || e.Kind != journal.KindPartCounted {
		return nil
	}
	for i := range at.Counts {
		if at.Counts[i].ID == e.ID {
			return &at.Counts[i]
		}
	}
	return nil
}
