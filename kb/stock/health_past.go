package stock

import (
	"math"
	"time"
)

// Past is how the stock of a part served from when its books began, or over the
// last year where that is shorter. Pieces at all places count together.
type Past struct {
	Days     float64   // days that the books tell of
	Ready    float64   // share of that time with something on hand; NaN for less than a day
	Used     float64   // pieces used in that time
	Fill     float64   // share of those that the books had there; NaN when none was used
	Average  float64   // pieces on hand on average, of those that were there
	LastYear float64   // pieces used in the last year, with or without books
	LastUse  time.Time // zero where there is none
}

// Pasts works out how the stock of every part served up to now, by the books
// that movements make (see [Fold]). A use that the books had no pieces for counts
// as not filled: it was got elsewhere, or the books were wrong. Calls that waited
// for a part leave no movement, so that the truth was worse, if anything.
func Pasts(movements []Movement, today func(part string) string, now time.Time) map[string]Past {
	from := now.Add(-time.Duration(yearDays * 24 * float64(time.Hour)))
	r := replay{books: &Books{parts: make(map[string]*PartBook), places: make(map[string]bool)}, from: from, parts: make(map[string]*pastBook)}
	for _, m := range InOrder(movements) {
		if m.At.After(now) {
			break
		}
		if today != nil {
			m.Part = today(m.Part)
		}
		if m.Place == "" && m.Kind != Ordered {
			m.Place = Shelf
		}
		r.see(&m)
	}
	out := make(map[string]Past, len(r.parts))
	for id, p := range r.parts {
		p.until(now)
		out[id] = p.past()
	}
	return out
}

// replay goes through movements and watches what is on hand in between.
type replay struct {
	books *Books
	from  time.Time
	parts map[string]*pastBook
}

// pastBook adds up what happened to one part since the time looked at began.
type pastBook struct {
	Past
	began         bool
	at            time.Time // up to when days are added up
	onHand        float64
	ready, served float64 // days, pieces
	pieceDays     float64
}

func (r *replay) see(m *Movement) {
	p := r.parts[m.Part]
	if p == nil {
		p = &pastBook{}
		r.parts[m.Part] = p
	}
	if m.Kind == Used {
		p.use(m, r)
	}
	r.books.apply(m)
	onHand, began := 0.0, false
	if b := r.books.parts[m.Part]; b != nil {
		onHand, began = b.OnHand()
	}
	if began && !p.began {
		p.began = true
		p.at = later(m.At, r.from)
	}
	p.until(m.At)
	p.onHand = onHand
}

// use counts pieces that are taken.
func (p *pastBook) use(m *Movement, r *replay) {
	if m.Qty > 0 {
		p.LastUse = later(p.LastUse, m.At)
	}
	if m.At.Before(r.from) {
		return
	}
	p.LastYear += m.Qty
	if at := r.books.place(m, m.Place, false); at != nil {
		p.Used += m.Qty
		p.served += min(m.Qty, max(0, at.OnHand))
	}
}

// until adds up the days to a moment.
func (p *pastBook) until(t time.Time) {
	if !p.began || !t.After(p.at) {
		return
	}
	days := t.Sub(p.at).Hours() / 24
	p.Days += days
	if p.onHand > 0 {
		p.ready += days
		p.pieceDays += days * p.onHand
	}
	p.at = t
}

func (p *pastBook) past() Past {
	p.Ready, p.Fill = math.NaN(), math.NaN()
	if p.Days >= 1 { // what lies there since this morning tells nothing
		p.Ready = p.ready / p.Days
	}
	if p.Used > 0 {
		p.Fill = max(0, p.served/p.Used)
	}
	if p.Days > 0 {
		p.Average = p.pieceDays / p.Days
	}
	return p.Past
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
