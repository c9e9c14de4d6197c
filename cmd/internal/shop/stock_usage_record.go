package shop

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/journal"
	"sootsayer/kb/stock"
)

// compare holds the rows against what is recorded already: which are there, which
// are further uses of a part and day, which months have none.
func (u *usageReading) compare() error {
	l, err := u.shop.stockNow()
	if err != nil {
		return err
	}
	type day struct{ part, day string }
	there, before := make(map[string]bool), make(map[day]bool)
	months := make(map[stock.Month]bool)
	for i := range l.moves {
		m := &l.moves[i]
		if m.Kind != stock.Used || m.Job != "" {
			continue
		}
		there[m.ID] = true
		before[day{u.shop.partToday(m.Part), m.At.Format(time.DateOnly)}] = true
		if fromUsageFile(m) {
			months[stock.MonthOf(m.At)] = true
		}
	}
	parts, own := make(map[string]bool), make(map[stock.Month]bool)
	for i := range u.rows {
		r := &u.rows[i]
		parts[r.today], own[stock.MonthOf(r.at)], months[stock.MonthOf(r.at)] = true, true, true
		if !there[r.id] && r.qty > 0 && before[day{r.today, r.at.Format(time.DateOnly)}] {
			u.did.Added++
		}
	}
	u.did.Parts = len(parts)
	if file := slices.Sorted(maps.Keys(own)); len(file) > 0 {
		u.did.First, u.did.Last = file[0].String(), file[len(file)-1].String()
		for _, m := range missingMonths(months) {
			u.did.Missing = append(u.did.Missing, m.String())
		}
	}
	all := len(u.rows)
	u.rows = slices.DeleteFunc(u.rows, func(r usageRow) bool { return there[r.id] })
	u.did.Already = all - len(u.rows)
	return nil
}

// record writes what is new.
func (u *usageReading) record() error {
	books, err := u.shop.Books()
	if err != nil {
		return err
	}
	u.tellStrange(books)
	for batch := range slices.Chunk(u.rows, importBatch) {
		events := make([]journal.Event, len(batch))
		for i := range batch {
			r := &batch[i]
			events[i] = journal.Event{ID: r.id, At: r.at, By: importer, Kind: journal.KindPartUsed, V: journal.EventVersion, Part: r.part, Qty: &r.qty, Place: r.place}
		}
		n, err := u.shop.journal.Append(events...)
		if err != nil {
			return fmt.Errorf("%s: what stands after the first %d new rows could not be recorded: %w", u.table.name, u.did.Recorded, err)
		}
		u.did.Recorded += n
		for i := range batch {
			if r := &batch[i]; r.qty > 0 && !draws(books, r) {
				u.did.Past++
			}
		}
	}
	return nil
}

// draws tells whether a row comes after the books of its part and place began.
func draws(books *stock.Books, r *usageRow) bool {
	p, place := books.Part(r.today), r.place
	if place == "" {
		place = stock.Shelf
	}
	at := p.At(place)
	return at != nil && r.at.After(at.Since)
}

// tellStrange gives notice of places where no books have begun: nothing is drawn
// there, and the name may be a slip.
func (u *usageReading) tellStrange(books *stock.Books) {
	var names []string
	for i := range u.rows {
		names = append(names, u.rows[i].place)
	}
	u.shop.tellStrangePlaces(u.table.name, names, books)
}

func (s *Shop) tellStrangePlaces(file string, names []string, books *stock.Books) {
	known := books.Places()
	names = slices.DeleteFunc(names, func(name string) bool { return name == "" || slices.Contains(known, name) })
	slices.SortFunc(names, stock.ComparePlaces)
	for _, name := range slices.Compact(names) {
		text := fmt.Sprintf("%s: nothing was ever counted at %q, so that nothing is drawn there", file, name)
		if near, ok := kb.Nearest(name, known); ok {
			text += fmt.Sprintf("; is %q meant?", near)
		}
		s.cfg.Notice(text)
	}
}

// missingMonths are the months between the first and the last that are not in a
// set.
func missingMonths(set map[stock.Month]bool) []stock.Month {
	var gaps []stock.Month
	for i, m := range slices.Sorted(maps.Keys(set)) {
		for gap := m - 1; i > 0 && !set[gap]; gap-- {
			gaps = append(gaps, gap)
		}
	}
	slices.Sort(gaps)
	return gaps
}
