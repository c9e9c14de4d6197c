package shop

import (
	"maps"
	"slices"
)

// keepPlace remembers where the parts of a row came from.
func (im *importing) keepPlace(r *row) {
	if r.from == "" {
		return
	}
	if im.places == nil {
		im.places = make(map[string]bool)
	}
	im.places[r.from] = true
}

// strangePlaces gives notice of places at which no books have begun.
func (im *importing) strangePlaces() error {
	if len(im.places) == 0 {
		return nil
	}
	books, err := im.shop.Books()
	if err != nil {
		return err
	}
	im.shop.tellStrangePlaces(im.name, slices.Collect(maps.Keys(im.places)), books)
	return nil
}
