package cli

import (
	"fmt"
	"strings"

	"sootsayer/kb"
)

// partStock says how a part is ordered and carried, and which others take its
// place.
func (s *shower) partStock(x *kb.Part) {
	s.field("Ordered from", x.Supplier)
	if x.MinOrder > 1 {
		s.field("Least in one order", fmt.Sprint(x.MinOrder))
	}
	if room := x.Room(); room != 1 {
		s.field("Takes", fmt.Sprintf("%g slots in a truck", room))
	}
	if now := s.base.Today("parts", x.ID); now != x.ID {
		s.field("Superseded by", s.partNames([]string{now}))
	}
	var old []string
	for _, id := range s.base.FormerNumbers(x.ID) {
		if _, entry := s.base.Part(id); entry { // else it stands among the former ids
			old = append(old, id)
		}
	}
	s.field("Supersedes", strings.Join(old, ", "))
	s.field("Alternates", s.partNames(x.Alternates))
}

func (s *shower) partNames(ids []string) string {
	return names(ids, func(id string) string {
		if p, ok := s.base.Part(id); ok {
			return p.Name
		}
		return id
	})
}
