package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// Books returns what is known of the stock now, in today's ids.
func (s *Shop) Books() (*stock.Books, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	if s.books == nil || s.booksSeq != l.seq {
		s.books, s.booksSeq = stock.Fold(l.moves, s.partToday), l.seq
	}
	return s.books, nil
}

// Visits returns every use of a part, each once, in today's ids.
func (s *Shop) Visits() ([]stock.Visit, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	list := stock.Visits(l.moves, s.partToday)
	for i := range list {
		list[i].Family = s.base.Today("families", list[i].Family)
	}
	return list, nil
}

// Calls returns every call that was closed, in the order of time and in today's
// ids: what the jobs of a family are counted by.
func (s *Shop) Calls() ([]Call, error) {
	l, err := s.stockNow()
	if err != nil {
		return nil, err
	}
	list := slices.Clone(l.calls)
	for i := range list {
		list[i].Family = s.base.Today("families", list[i].Family)
	}
	return list, nil
}

func (s *Shop) partToday(id string) string { return s.base.Today("parts", id) }

// Place returns a place by its name; "" is the shelf. It has to be known: books
// have begun there, or it is the shelf. A new one is allowed where fresh is set,
// so that a slip in a name makes no place of its own.
func (s *Shop) Place(name string, fresh bool) (string, error) {
	books, err := s.Books()
	if err != nil {
		return "", err
	}
	return placeIn(books, name, fresh)
}

// placeIn is Place for books that are at hand.
func placeIn(books *stock.Books, name string, fresh bool) (string, error) {
	if name == "" {
		return stock.Shelf, nil
	}
	if !stock.ValidPlace(name) {
		return "", badPlace(name)
	}
	if places := books.Places(); !fresh && !slices.Contains(places, name) {
		return "", kb.UnknownID("place", name, places)
	}
	return name, nil
}

// badPlace says how a place is written.
func badPlace(name string) error {
	like := stock.PlaceLike(name)
	if like == "" {
		like = "truck-1"
	}
	return fmt.Errorf("%q is not how a place is written; use lower-case words and digits joined by -, such as %s", name, like)
}

// Pieces are so many pieces of a part.
type Pieces struct {
	Part string  `json:"part"`
	Qty  float64 `json:"qty"`
}

// PiecesRule says which numbers of pieces make sense.
type PiecesRule uint8

// What pieces can be.
const (
	FoundPieces   PiecesRule = iota // of a count: 0 or more, and always given
	UsedPieces                      // of a file of uses: 0 or more
	SomePieces                      // above 0; 1 when left out
	PiecesOrMinus                   // not 0; below 0 puts right or takes back; 1 when left out
)

// ParseParts reads PART=N words. A part named twice adds up, but not in a count.
// Former and superseded numbers are read as what they are today, and notice is
// given of it.
func ParseParts(b *kb.Base, words []string, rule PiecesRule, notice func(string)) ([]Pieces, error) {
	var list []Pieces
	for _, word := range words {
		id, number, given := strings.Cut(word, "=")
		part, err := ParsePart(b, id, notice)
		if err != nil {
			return nil, err
		}
		if !given && rule == FoundPieces {
			return nil, fmt.Errorf("how many of %s are there? write %s=4, or %s=0 for none", part, part, part)
		}
		if !given {
			number = "1"
		}
		qty, err := parseQty(part, number, rule)
		if err != nil {
			return nil, err
		}
		if i := slices.IndexFunc(list, func(p Pieces) bool { return p.Part == part }); i < 0 {
			list = append(list, Pieces{part, qty})
		} else if rule == FoundPieces {
			return nil, fmt.Errorf("%s is counted twice; write all pieces that are there in one number", part)
		} else {
			list[i].Qty += qty
		}
	}
	return list, nil
}

// parseQty reads a number of pieces of a part.
func parseQty(part, text string, rule PiecesRule) (float64, error) {
	text = strings.TrimSpace(text)
	qty, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil || qty != qty || qty > maxPieces || qty < -maxPieces:
		return 0, fmt.Errorf("%q is not a number of pieces of %s; write a number such as 4", text, part)
	case rule == FoundPieces && qty < 0:
		return 0, fmt.Errorf("%s pieces of %s cannot be there; count them again, and write 0 for none", text, part)
	case rule == UsedPieces && qty < 0:
		return 0, fmt.Errorf("%s pieces of %s cannot be used; what was brought back is recorded with: sootsayer stock usage %s=%s", text, part, part, text)
	case rule == SomePieces && qty <= 0:
		return 0, fmt.Errorf("%s pieces of %s cannot be; write a number above 0", text, part)
	case rule == PiecesOrMinus && qty == 0:
		return 0, fmt.Errorf("0 pieces of %s are nothing to record; write how many", part)
	}
	return qty, nil
}

// ParsePart reads the id of a part; of a former or superseded number it is that
// of the part today, of which notice is given.
func ParsePart(b *kb.Base, text string, notice func(string)) (string, error) {
	text = strings.TrimSpace(text)
	part := b.Today("parts", text)
	if _, ok := b.Part(part); !ok {
		return "", kb.UnknownID("part", part, b.IDs("parts"))
	}
	if part != text {
		notice(partTodaySays(b, text, part))
	}
	return part, nil
}

// partTodaySays says why a part goes by another id than the one that was written.
func partTodaySays(b *kb.Base, text, part string) string {
	if _, old := b.Part(text); old {
		return fmt.Sprintf("%s was superseded; this is %s, which takes its place", text, part)
	}
	return fmt.Sprintf("%s is called %s now", text, part)
}

// When reads when something was done: a time in RFC 3339, or a day, which stands
// for its noon as in files; "" for now. What is still to come is refused.
func When(now time.Time, text string) (time.Time, error) {
	now = now.UTC().Truncate(time.Millisecond)
	if text == "" {
		return now, nil
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return day, fmt.Errorf("%q is no time; write a day as 2006-01-02, or a time as 2006-01-02T15:04:05Z", text)
		}
		if at = day.Add(noon); at.After(now) && sameDay(at, now) {
			at = now
		}
	}
	if at.After(now) {
		return at, fmt.Errorf("%s is still to come; write when it was done", text)
	}
	return at.UTC(), nil
}
