package shop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Unknown is a word that the base does not have.
type Unknown struct {
	Column  string `json:"column"`
	Word    string `json:"word"`
	Times   int    `json:"times"`
	Nearest string `json:"nearest,omitempty"`
}

// unknownWords counts the words of a file that the base does not have.
type unknownWords struct {
	times map[Unknown]int
	more  int // how often words stand there that are too many to count
}

// maxUnknown is how many different words are counted.
const maxUnknown = 1000

func (u *unknownWords) count(p RowProblem) {
	if p.Word == "" {
		return
	}
	w := Unknown{Column: p.Column, Word: p.Word, Nearest: p.Nearest}
	if _, there := u.times[w]; !there && len(u.times) >= maxUnknown {
		u.more++
		return
	}
	u.times[w]++
}

// list lists the words, the commonest first.
func (u *unknownWords) list() []Unknown {
	list := make([]Unknown, 0, len(u.times))
	for w, times := range u.times {
		w.Times = times
		list = append(list, w)
	}
	slices.SortFunc(list, func(a, b Unknown) int {
		return cmp.Or(b.Times-a.Times, strings.Compare(a.Column, b.Column), strings.Compare(a.Word, b.Word))
	})
	return list
}

// valuesBlock writes unknown words as the part of a mapping that maps them. What
// nothing is near to stands there as a comment, so that the rest can be read.
func valuesBlock(words []Unknown) string {
	var b strings.Builder
	mapped := func(w Unknown) bool { return w.Nearest != "" }
	b.WriteString(commented("values:", slices.ContainsFunc(words, mapped)))
	for col, name := range columnNames {
		mine := slices.DeleteFunc(slices.Clone(words), func(w Unknown) bool { return w.Column != name || !canMap[col] })
		if len(mine) == 0 {
			continue
		}
		b.WriteString(commented("  "+name+":", slices.ContainsFunc(mine, mapped)))
		for _, w := range mine {
			line := "    " + yamlText(w.Word) + ": "
			if mapped(w) {
				line += yamlText(w.Nearest)
			} else {
				line += "ID"
			}
			b.WriteString(commented(line+"  # "+timesText(w.Times), mapped(w)))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return b.String()
}

// commented ends a line, and makes a comment of it where it does not hold.
func commented(line string, holds bool) string {
	if !holds {
		line = "#" + line
	}
	return line + "\n"
}

func timesText(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
