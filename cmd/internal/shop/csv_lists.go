package shop

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/stock"
)

// list parts a cell into its entries; empty ones are passed over.
func (p *rowParser) list(col int) []string {
	return p.split(col, listSeparator)
}

func (p *rowParser) split(col int, mark string) []string {
	cell := p.raw.cells[col]
	if cell == "" {
		return nil
	}
	var out []string
	for entry := range strings.SplitSeq(cell, mark) {
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

// cutMinutes takes the minutes off the end of an entry, 0 where none are given.
func (p *rowParser) cutMinutes(col int, entry string) (string, float64) {
	at := strings.LastIndex(entry, minutesMark)
	if at < 0 {
		return entry, 0
	}
	rest, number := strings.TrimSpace(entry[:at]), strings.TrimSpace(entry[at+1:])
	m, err := strconv.ParseFloat(number, 64)
	if err != nil || !(m > 0 && m <= maxMinutes) {
		p.wrong(col, "%q: %q are not the minutes of %s; write %s%s5, or leave them out", entry, number, rest, rest, minutesMark)
		return rest, 0
	}
	return rest, m
}

func (p *rowParser) findings(col int, kind, family string) []kb.Finding {
	var out []kb.Finding
	for _, entry := range p.list(col) {
		if f, ok := p.finding(col, kind, family, entry); ok {
			out = append(out, f)
		}
	}
	return out
}

// finding reads one finding, with its minutes where they are given.
func (p *rowParser) finding(col int, kind, family, entry string) (kb.Finding, bool) {
	text, minutes := p.cutMinutes(col, entry)
	f, err := p.base.ParseFinding(kind, family, text)
	if err != nil {
		p.refuse(col, text, err)
		return f, false
	}
	f.Minutes = minutes
	return f, true
}

// tried reads fixes, and what was found after them.
func (p *rowParser) tried(family string) []kb.Act {
	var out []kb.Act
	for _, entry := range p.list(colTried) {
		if strings.Contains(entry, "=") {
			f, ok := p.finding(colTried, "", family, entry)
			switch {
			case !ok:
			case len(out) == 0:
				p.wrong(colTried, "%s was found before any fix was tried; write it under findings or symptoms", entry)
			default:
				out = append(out, kb.Act{Finding: &f})
			}
			continue
		}
		text, minutes := p.cutMinutes(colTried, entry)
		out = append(out, kb.Act{Tried: p.fix(colTried, text), Minutes: minutes})
	}
	return out
}

// fix reads the id of a fix.
func (p *rowParser) fix(col int, text string) string {
	id := p.base.Today("fixes", text)
	if _, ok := p.base.Fix(id); !ok {
		p.refuse(col, text, kb.UnknownID("fix", text, p.base.IDs("fixes")))
	}
	return id
}

func (p *rowParser) fixes() []string {
	list := p.list(colFixes)
	for i := range list {
		list[i] = p.fix(colFixes, list[i])
	}
	return list
}

// causes reads what it was, or what it was one of: a|b.
func (p *rowParser) causes(family string) (list []string, oneOf bool) {
	mark := listSeparator
	if oneOf = strings.Contains(p.raw.cells[colCauses], candidatesMark); oneOf {
		mark = candidatesMark
	}
	list = p.split(colCauses, mark)
	switch {
	case oneOf && strings.Contains(p.raw.cells[colCauses], listSeparator):
		p.wrong(colCauses, "%q holds both %q and %q; part causes that were all there by %q, causes of which it was one by %q",
			short(p.raw.cells[colCauses]), listSeparator, candidatesMark, listSeparator, candidatesMark)
		return nil, false
	case len(list) == 0:
		p.wrong(colCauses, "there is no cause; write what it was, or %s", kb.Unlisted)
	case oneOf && len(list) < 2:
		p.wrong(colCauses, "%q names one cause only; name all that it may have been, as in a%sb, or take the %q out",
			p.raw.cells[colCauses], candidatesMark, candidatesMark)
	}
	var out []string
	for i, text := range list {
		if slices.Contains(list[:i], text) {
			p.wrong(colCauses, "%s is named twice; write it once", text)
		}
		id := p.base.Today("causes", text)
		if slices.Contains(out, id) {
			continue // two causes that became one
		}
		out = append(out, id)
		if c, ok := p.base.Cause(id); id == kb.Unlisted || ok && hasFamily(c, family) {
			continue
		}
		p.refuse(colCauses, text, kb.UnknownID("cause of "+family, text, ClosingCauses(p.base, family)))
	}
	return out, oneOf && len(out) > 1
}

// parts reads the pieces used, PART=N, or PART for one piece; the same part named
// twice adds up. None used is an empty map, not stated is nil.
func (p *rowParser) parts() map[string]float64 {
	if p.raw.cells[colParts] == noneUsed {
		return map[string]float64{}
	}
	var out map[string]float64
	for _, entry := range p.list(colParts) {
		part, qty, err := ParsePieces(p.base, entry)
		if err != nil {
			p.refuse(colParts, entry, err)
			continue
		}
		if out == nil {
			out = make(map[string]float64)
		}
		if out[part] += qty; out[part] > maxPieces {
			p.wrong(colParts, "%s are %s pieces in all, which cannot be; write how many were used", part, numberText(out[part]))
		}
	}
	return out
}

// refuse reports an entry that cannot be read. Of one that names nothing of the
// base it keeps the word, so that it can be mapped.
func (p *rowParser) refuse(col int, entry string, err error) {
	problem := cellProblem{col: col, what: err.Error()}
	var unknown *kb.UnknownIDError
	if errors.As(err, &unknown) {
		problem.unknown = &unknownWord{what: unknown.What, text: unknown.ID, have: unknown.Have}
		if id, _, _ := strings.Cut(entry, "="); strings.TrimSpace(id) != unknown.ID {
			problem.unknown.text, problem.unknown.of = entry, strings.TrimSpace(id) // the outcome is unknown
		}
	}
	p.report(problem)
}

// place reads where the parts came from; the shelf need not be said.
func (p *rowParser) place() string {
	name := p.raw.cells[colFrom]
	if name == "" || name == stock.Shelf {
		return ""
	}
	if !stock.ValidPlace(name) {
		p.wrong(colFrom, "%s", badPlace(name))
	}
	return name
}
