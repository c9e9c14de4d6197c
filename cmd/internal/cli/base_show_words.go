package cli

import (
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
)

// title starts an entry; was are the ids that it had before.
func (s *shower) title(kind, name, id string, was ...string) {
	s.p.marked(kind+": ", fmt.Sprintf("%s (%s)", name, id))
	s.field("Was called", strings.Join(was, ", "))
}

// field writes a line with a name, or nothing for an empty value.
func (s *shower) field(name, value string) {
	if value != "" {
		s.p.para("  "+name+": ", value)
	}
}

// families names families.
func (s *shower) families(ids []string) {
	var names []string
	for _, id := range ids {
		if f, ok := s.base.Family(id); ok {
			names = append(names, fmt.Sprintf("%s (%s)", f.Name, f.ID))
		}
	}
	s.field("For", strings.Join(names, "; "))
}

// needs says how the equipment must stand, who may do it and with what.
func (s *shower) needs(state map[string]string, skill string, tools []string) {
	switch skill {
	case "anyone":
		s.field("Who", "anyone")
	case "licensed":
		s.field("Who", "only a technician licensed for this work")
	}
	s.field("Tools", strings.Join(tools, ", "))
	for i := range s.base.States {
		x := &s.base.States[i]
		if want, needed := state[x.ID]; needed {
			s.field("Needs", stateName(x)+" "+want)
			if text := x.Cautions[want]; text != "" {
				s.p.caution("    ", text)
			}
		}
	}
}

// allWork writes the cautions of families that hold for all work on them,
// except those that were written before.
func (s *shower) allWork(families, written []string) {
	first := true
	for _, text := range s.familyCautions(families) {
		if slices.Contains(written, text) {
			continue
		}
		if first {
			s.p.line("  For all work on this equipment:")
			first = false
		}
		s.p.caution("  ", text)
	}
}

// familyCautions lists the cautions of families, each once; one that is not of
// all of them says of which.
func (s *shower) familyCautions(families []string) []string {
	var order []string
	of := make(map[string][]string)
	for _, id := range families {
		f, ok := s.base.Family(id)
		if !ok {
			continue
		}
		for _, text := range f.Cautions {
			if of[text] == nil {
				order = append(order, text)
			}
			of[text] = append(of[text], id)
		}
	}
	for i, text := range order {
		if len(of[text]) < len(families) {
			order[i] = strings.Join(of[text], ", ") + ": " + text
		}
	}
	return order
}

// basis says where the numbers of an entry come from.
func (s *shower) basis(list kb.Bases) {
	for _, b := range list {
		text := strings.ReplaceAll(b.Kind, "-", " ")
		if b.Source != "" {
			text += ": " + b.Source
		}
		name := "Basis"
		if b.Of != "" {
			name += " of " + strings.ReplaceAll(b.Of, "_", " ")
		}
		s.field(name, text)
	}
}

// names lists entries as "Name (id)".
func names(ids []string, name func(id string) string) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = fmt.Sprintf("%s (%s)", name(id), id)
	}
	return strings.Join(out, "; ")
}

func (s *shower) causeName(id string) string {
	if c, ok := s.base.Cause(id); ok {
		return c.Name
	}
	return id
}
