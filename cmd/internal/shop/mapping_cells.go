package shop

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// cells rewrites a row of the shop's as a plain file would have it. place tells
// where the headings of each column stand.
func (m *Mapping) cells(raw *rawRow, record []string, place *[numColumns][]int) {
	for col := range place {
		if m.derived && col == colJob {
			raw.cells[col] = derivedJob(record, place[col])
			continue
		}
		cell := m.gathered(record, place[col], col)
		if cell == "" {
			raw.cells[col] = m.defaults[col]
			if place[col] == nil && col >= numContract && m.defaults[col] == "" {
				raw.unread.add(col)
			}
			continue
		}
		raw.cells[col] = m.cell(raw, col, cell)
	}
}

// gathered puts the cells of a column together.
func (m *Mapping) gathered(record []string, at []int, col int) string {
	mark := "; "
	if isList[col] {
		mark = m.list
	}
	var parts []string
	for n, i := range at {
		text := strings.TrimSpace(record[i])
		if m.results[col] != nil && m.results[col][n] != "" && text != "" {
			text = m.result(col, m.results[col][n], text)
		}
		if text != "" {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, mark)
}

// result makes an entry of a cell that holds a result of one check or symptom,
// none of a word that stands for nothing.
func (m *Mapping) result(col int, id, cell string) string {
	if means, ok := m.values[col][folded(cell)]; ok && len(means) == 0 {
		return ""
	}
	return id + "=" + cell
}

// derivedName begins the job numbers that are made of cells.
const derivedName = "row-"

var derivedLetters = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// derivedJob makes a job number of the cells that tell jobs apart, so that the
// same cells give the same number in every file and nothing is taken in twice.
// Of a SHA-256 it keeps 60 bits: two of a million jobs come to share a number
// once in two million files, and are then refused, not mixed.
func derivedJob(record []string, at []int) string {
	var parts []string
	empty := true
	for _, i := range at {
		text := folded(record[i])
		parts, empty = append(parts, text), empty && text == ""
	}
	if empty {
		return ""
	}
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return derivedName + derivedLetters.EncodeToString(sum[:])[:12]
}

// cell rewrites one cell.
func (m *Mapping) cell(raw *rawRow, col int, cell string) string {
	if col == colOpened || col == colClosed {
		if m.dates == nil {
			return cell
		}
		text, err := m.date(raw, cell)
		if err != nil {
			raw.refuse(cellProblem{col: col, what: err.Error()})
		}
		return text
	}
	if !canMap[col] {
		return cell
	}
	if means, ok := m.values[col][folded(cell)]; ok {
		return strings.Join(means, listSeparator)
	}
	switch {
	case isNumber[col]:
		return m.decimals(raw, col, cell)
	case isList[col]:
		return m.entries(raw, col, cell)
	}
	return cell
}

// entries rewrites a list.
func (m *Mapping) entries(raw *rawRow, col int, cell string) string {
	var out []string
	for entry := range strings.SplitSeq(cell, m.list) {
		if entry = strings.TrimSpace(entry); entry == "" {
			continue
		}
		means, ok := m.entry(raw, col, entry)
		if !ok && strings.Contains(entry, listSeparator) { // it would be read as several
			raw.refuse(cellProblem{col: col, what: fmt.Sprintf("%q is not mapped", entry), unknown: &unknownWord{what: singular(col), text: entry, have: m.base.IDs(idList[col])}})
			continue
		}
		out = append(out, means...)
	}
	return strings.Join(out, listSeparator)
}

// entry rewrites one entry of a list: as a whole, else what stands before "=" and
// minutes. It is false when nothing in it was mapped.
func (m *Mapping) entry(raw *rawRow, col int, entry string) ([]string, bool) {
	if means, ok := m.values[col][folded(entry)]; ok {
		return means, true
	}
	text, minutes := cutAt(entry, minutesMark)
	id, value := cutAt(text, "=")
	value, minutes = m.decimals(raw, col, value), m.decimals(raw, col, minutes)
	if means, ok := m.values[col][folded(text)]; ok && minutes != "" {
		return withLast(means, minutes), true
	}
	if means, ok := m.values[col][folded(id)]; ok && value+minutes != "" {
		return withLast(means, value+minutes), true
	}
	if col == colCauses && strings.Contains(entry, candidatesMark) {
		return m.candidates(raw, entry)
	}
	return []string{id + value + minutes}, false
}

// candidates rewrites causes of which it was one.
func (m *Mapping) candidates(raw *rawRow, entry string) ([]string, bool) {
	var out []string
	all := true
	for cause := range strings.SplitSeq(entry, candidatesMark) {
		means, ok := m.entry(raw, colCauses, strings.TrimSpace(cause))
		out, all = append(out, means...), all && ok
	}
	return []string{strings.Join(out, candidatesMark)}, all
}

// cutAt cuts text before the last mark; rest begins with the mark.
func cutAt(text, mark string) (head, rest string) {
	if at := strings.LastIndex(text, mark); at > 0 {
		return strings.TrimSpace(text[:at]), strings.TrimSpace(text[at:])
	}
	return text, ""
}

// withLast adds a result or minutes to the last of some entries.
func withLast(means []string, more string) []string {
	if len(means) == 0 {
		return nil
	}
	out := slices.Clone(means)
	out[len(out)-1] += more
	return out
}

// decimalComma finds numbers with a decimal comma, and anyPoint such as hold a
// point, which under a decimal comma may part thousands.
var (
	decimalComma = regexp.MustCompile(`^([=@]?\s*[-+]?[0-9]+),([0-9]+)(\D.*)?$`)
	anyPoint     = regexp.MustCompile(`^[=@]?\s*[-+]?[0-9]+\.[0-9.,]*(\D.*)?$`)
)

// decimals writes a number with a decimal point.
func (m *Mapping) decimals(raw *rawRow, col int, text string) string {
	if !m.comma || text == "" {
		return text
	}
	if anyPoint.MatchString(text) {
		raw.refuse(cellProblem{col: col, what: fmt.Sprintf("the point in %q may part thousands or stand before decimals; write the number without it, or decimal: point in %s",
			strings.TrimLeft(text, "=@"), m.file)})
	}
	return decimalComma.ReplaceAllString(text, "$1.$2$3")
}
