package shop

import (
	"slices"
	"strings"

	"sootsayer/kb"
)

// list parts a cell into its entries; empty ones are passed over.
func (p *rowParser) list(col int) []string {
	var out []string
	for entry := range strings.SplitSeq(p.raw.cells[col], listSeparator) {
		if entry = strings.TrimSpace(entry); entry != "" {
			out = append(out, entry)
		}
	}
	if len(out) > maxEntries {
		p.wrong(col, "it has %d entries; keep it to %d", len(out), maxEntries)
		return nil
	}
	return out
}

func (p *rowParser) findings(col int, kind, family string) []kb.Finding {
	var out []kb.Finding
	for _, entry := range p.list(col) {
		f, err := p.base.ParseFinding(kind, family, entry)
		if err != nil {
			p.wrong(col, "%v", err)
			continue
		}
		out = append(out, f)
	}
	return out
}

// tried reads fixes, and what was found after them.
func (p *rowParser) tried(family string) []kb.Act {
	var out []kb.Act
	for _, entry := range p.list(colTried) {
		if strings.Contains(entry, "=") {
			f, err := p.base.ParseFinding("", family, entry)
			switch {
			case err != nil:
				p.wrong(colTried, "%v", err)
			case len(out) == 0:
				p.wrong(colTried, "%s was found before any fix was tried; write it under findings or symptoms", entry)
			default:
				out = append(out, kb.Act{Finding: &f})
			}
			continue
		}
		if _, ok := p.base.Fix(entry); !ok {
			p.wrong(colTried, "%v", kb.UnknownID("fix", entry, p.base.IDs("fixes")))
		}
		out = append(out, kb.Act{Tried: entry})
	}
	return out
}

func (p *rowParser) causes(family string) []string {
	list := p.list(colCauses)
	if len(list) == 0 {
		p.wrong(colCauses, "there is no cause; write what it was, or %s", kb.Unlisted)
	}
	for i, id := range list {
		if slices.Contains(list[:i], id) {
			p.wrong(colCauses, "%s is named twice; write it once", id)
		}
		if c, ok := p.base.Cause(id); id == kb.Unlisted || ok && hasFamily(c, family) {
			continue
		}
		p.wrong(colCauses, "%v", kb.UnknownID("cause of "+family, id, ClosingCauses(p.base, family)))
	}
	return list
}

// parts reads the pieces used, PART=N, or PART for one piece; the same part named
// twice adds up.
func (p *rowParser) parts() map[string]float64 {
	var out map[string]float64
	for _, entry := range p.list(colParts) {
		part, qty, err := ParsePieces(p.base, entry)
		if err != nil {
			p.wrong(colParts, "%v", err)
			continue
		}
		if out == nil {
			out = make(map[string]float64)
		}
		out[part] += qty
	}
	return out
}
