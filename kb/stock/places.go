package stock

import (
	"cmp"
	"regexp"
	"strings"
	"unicode"
)

// Shelf is the place of pieces of which nobody says another one.
const Shelf = "shelf"

var placePattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// mostPlaceLetters bounds the name of a place.
const mostPlaceLetters = 40

// ValidPlace tells whether a name can be that of a place: lower-case words and
// digits joined by dashes, such as shelf or truck-1, so that a place has one way
// to be written.
func ValidPlace(name string) bool {
	return len(name) <= mostPlaceLetters && placePattern.MatchString(name)
}

// PlaceLike writes a name the way a place is written: "Truck 1" as truck-1. It is
// "" where no letter or digit is left.
func PlaceLike(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	like := strings.Join(words, "-")
	return strings.Trim(like[:min(len(like), mostPlaceLetters)], "-")
}

// ComparePlaces orders places: the shelf first, then by name with numbers as
// numbers, so that truck-2 comes before truck-10.
func ComparePlaces(a, b string) int {
	if (a == Shelf) != (b == Shelf) {
		if a == Shelf {
			return -1
		}
		return 1
	}
	as, bs := strings.Split(a, "-"), strings.Split(b, "-")
	for i := range min(len(as), len(bs)) {
		if c := compareWords(as[i], bs[i]); c != 0 {
			return c
		}
	}
	return cmp.Or(cmp.Compare(len(as), len(bs)), strings.Compare(a, b))
}

// compareWords orders numbers before other words, and by their value.
func compareWords(a, b string) int {
	na, nb := strings.Trim(a, "0123456789") == "", strings.Trim(b, "0123456789") == ""
	if na != nb {
		if na {
			return -1
		}
		return 1
	}
	if na {
		a, b := strings.TrimLeft(a, "0"), strings.TrimLeft(b, "0")
		return cmp.Or(cmp.Compare(len(a), len(b)), strings.Compare(a, b))
	}
	return strings.Compare(a, b)
}
