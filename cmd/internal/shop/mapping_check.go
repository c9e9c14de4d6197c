package shop

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"sootsayer/kb"
)

// mappingCheck makes a mapping of its file and collects what is wrong with it.
type mappingCheck struct {
	*Mapping
	file     *mappingFile
	problems kb.Problems
}

func (c *mappingCheck) wrong(at kb.Pos, what, do string) {
	c.problems = append(c.problems, kb.Problem{Pos: at, What: what, Do: do})
}

// marks refuses marks that cannot be told apart.
func (c *mappingCheck) marks() {
	if c.comma && c.list == "," {
		c.wrong(c.places.At("list"), "a comma cannot part a list where it stands before decimals", "write decimal: point, or another list")
	}
}

func (c *mappingCheck) dates() {
	for i, text := range c.file.Dates {
		layout, err := parseDateLayout(text)
		if err != nil {
			at := c.places.At("dates", strconv.Itoa(i))
			c.wrong(at, strconv.Quote(text)+" does not say how a date is written: "+err.Error(), "write it like M/D/YYYY, D.M.YYYY HH:mm or YYYY-MM-DD")
			continue
		}
		c.Mapping.dates = append(c.Mapping.dates, layout)
	}
}

// column finds the column that a key names.
func (c *mappingCheck) column(name string, path ...string) (int, bool) {
	col, ok := columnOf(name)
	if !ok {
		do := "the columns are " + strings.Join(columnNames[:], ", ")
		if near, ok := kb.Nearest(strings.ToLower(name), columnNames[:]); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		c.wrong(c.places.AtKey(append(path, name)...), fmt.Sprintf("%q is not a column of ours", name), do)
	}
	return col, ok
}

func (c *mappingCheck) columns() {
	if !c.named {
		for col, name := range columnNames {
			c.headings[col] = []string{name}
		}
		return
	}
	for name, headings := range c.file.Columns {
		col, ok := c.column(name, "columns")
		if !ok {
			continue
		}
		for _, text := range headings {
			id, heading := c.result(col, text)
			c.headings[col], c.results[col] = append(c.headings[col], heading), append(c.results[col], id)
		}
		at := c.places.At("columns", name)
		switch one := len(headings) == 1; {
		case col == colJob:
			c.derived = !one
		case !one && !isList[col] && col != colComplaint && col != colNote:
			c.wrong(at, fmt.Sprintf("%s cannot be put together from several headings", name), "name the one that holds it")
		}
	}
	c.required()
}

// result parts a heading under which the results of one check or symptom stand,
// written ID=HEADING.
func (c *mappingCheck) result(col int, text string) (id, heading string) {
	id, heading, given := strings.Cut(text, "=")
	if id = strings.TrimSpace(id); given && (col == colFindings || col == colSymptoms) && slices.Contains(c.base.IDs(idList[col]), id) {
		return id, strings.TrimSpace(heading)
	}
	return "", text
}

// required refuses a mapping under which no row could be read.
func (c *mappingCheck) required() {
	_, family := c.file.Defaults[columnNames[colFamily]]
	_, causes := c.file.Defaults[columnNames[colCauses]]
	for _, need := range []struct {
		col    int
		there  bool
		advice string
	}{
		{colJob, false, "name the heading of the job numbers, or, where the shop has none, a list of headings that together tell two jobs apart"},
		{colOpened, false, "name the heading of the day the call came in; it may be the same as that of closed"},
		{colClosed, false, "name the heading of the day the job was done; it may be the same as that of opened"},
		{colFamily, family, "name the heading that tells which kind of equipment it was, or write one under defaults"},
		{colCauses, causes, "name the heading that tells what it was"},
	} {
		if c.headings[need.col] == nil && !need.there {
			c.wrong(c.places.AtKey("columns"), fmt.Sprintf("no heading is given for %s", columnNames[need.col]), need.advice)
		}
	}
	if c.derived && c.headings[colCallbackOf] != nil {
		c.wrong(c.places.AtKey("columns", columnNames[colCallbackOf]), "callback_of names an earlier job by its number, and the jobs have none of their own",
			"leave it out, or name one heading for job")
	}
}

func (c *mappingCheck) values() {
	for name, words := range c.file.Values {
		col, ok := c.column(name, "values")
		if !ok {
			continue
		}
		if !canMap[col] {
			c.wrong(c.places.AtKey("values", name), fmt.Sprintf("the words of %s are taken as they are", name), "take it out")
			continue
		}
		c.Mapping.values[col] = make(map[string]mappedWord, len(words))
		for _, word := range slices.Sorted(maps.Keys(words)) {
			c.word(col, word, words[word])
		}
	}
}

// word takes in what one word of the shop stands for.
func (c *mappingCheck) word(col int, word string, means kb.Texts) {
	name, key := columnNames[col], folded(word)
	if _, twice := c.Mapping.values[col][key]; twice {
		c.wrong(c.places.AtKey("values", name, word), fmt.Sprintf("%q is given twice; capitals and spaces do not tell words apart", word), "remove one of the two")
		return
	}
	out := mappedWord{}
	for i, text := range means {
		at := c.places.At("values", name, word, strconv.Itoa(i))
		for entry := range strings.SplitSeq(text, listSeparator) {
			entry = strings.TrimSpace(entry)
			if entry == nothing && len(means) == 1 {
				break
			}
			c.entry(col, entry, at)
			out = append(out, entry)
		}
	}
	if len(out) > 1 && !isList[col] {
		c.wrong(c.places.At("values", name, word), fmt.Sprintf("%s holds one value, not several", name), "write one")
	}
	c.Mapping.values[col][key] = out
}

// entry checks one of our own words against the base.
func (c *mappingCheck) entry(col int, entry string, at kb.Pos) {
	err := c.known(col, entry)
	var unknown *kb.UnknownIDError
	switch {
	case err == nil:
	case errors.As(err, &unknown) && unknown.Nearest != "":
		c.wrong(at, fmt.Sprintf("no %s %q", unknown.What, unknown.ID), fmt.Sprintf("did you mean %q?", unknown.Nearest))
	case isNumber[col]:
		c.wrong(at, err.Error(), "write one, such as 0.8")
	default:
		c.wrong(at, err.Error(), "write an id of the base, or "+nothing)
	}
}

func (c *mappingCheck) defaults() {
	for name, value := range c.file.Defaults {
		col, ok := c.column(name, "defaults")
		if !ok {
			continue
		}
		switch col {
		case colJob, colOpened, colClosed, colCallbackOf:
			c.wrong(c.places.AtKey("defaults", name), fmt.Sprintf("%s cannot be the same for all jobs", name), "take it out")
			continue
		}
		if len(value) > 1 && !isList[col] {
			c.wrong(c.places.At("defaults", name), fmt.Sprintf("%s holds one value, not several", name), "write one")
			continue
		}
		for i, entry := range value {
			if idList[col] != "" || isNumber[col] {
				c.entry(col, entry, c.places.At("defaults", name, strconv.Itoa(i)))
			}
		}
		c.Mapping.defaults[col] = strings.Join(value, listSeparator)
	}
}
