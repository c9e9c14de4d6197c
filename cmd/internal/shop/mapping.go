package shop

import (
	"slices"
	"strings"

	"sootsayer/kb"
)

// Mapping says how a shop's own table of jobs is read: under which headings the
// columns of a file of closed jobs stand, and what the shop's words mean. It is
// read by ReadMapping; CSV.md describes the file.
type Mapping struct {
	file      string
	places    kb.Places
	base      *kb.Base
	separator rune   // between the cells of a row
	list      string // between the entries of a list within a cell
	comma     bool   // a comma stands before decimals
	encoding  string
	dates     []dateLayout // none: as in a plain file

	named    bool                              // columns are named; else they stand under our own names
	headings [numColumns][]string              // of the shop, in the order in which they are joined
	results  [numColumns][]string              // by heading: the check or symptom whose results stand under it, "" for none
	derived  bool                              // the job number is made of the cells under its headings
	values   [numColumns]map[string]mappedWord // what a word of the shop means, by the folded word
	defaults [numColumns]string                // what an empty cell means
}

// mappedWord is what a word of the shop stands for: entries of our own, none at
// all where it stands for nothing.
type mappedWord []string

// nothing is what a word of the shop is mapped to that tells sootsayer nothing.
const nothing = "nothing"

// mappingFile is the file of a mapping.
type mappingFile struct {
	Schema    int                            `json:"schema" kb:"required,min=1,max=1" doc:"version of the format: 1"`
	Separator string                         `json:"separator" kb:"enum=comma|semicolon|tab|pipe" doc:"what parts the cells of a row"`
	List      string                         `json:"list" kb:"enum=semicolon|comma|slash|plus|pipe|line" doc:"what parts the entries within a cell"`
	Decimal   string                         `json:"decimal" kb:"enum=point|comma" doc:"what stands before decimals"`
	Encoding  string                         `json:"encoding" kb:"enum=utf-8|windows-1252" doc:"how letters are written in the file"`
	Dates     kb.Texts                       `json:"dates" doc:"how dates are written, such as M/D/YYYY"`
	Columns   map[string]kb.Texts            `json:"columns" doc:"the shop's headings by our columns"`
	Values    map[string]map[string]kb.Texts `json:"values" doc:"what the shop's words mean, by our columns"`
	Defaults  map[string]kb.Texts            `json:"defaults" doc:"what an empty cell means, by our columns"`
}

// Noun names the file in messages.
func (mappingFile) Noun() string { return "a mapping" }

// marks are the words for what parts things in a file.
var marks = map[string]string{"comma": ",", "semicolon": ";", "tab": "\t", "pipe": "|", "slash": "/", "plus": "+", "line": "\n"}

const windows1252 = "windows-1252"

// ReadMapping reads a mapping for a base. The error is a kb.Problems, each with
// its place in the file.
func ReadMapping(file string, data []byte, b *kb.Base) (*Mapping, error) {
	f := mappingFile{Separator: "comma", List: "semicolon", Decimal: "point", Encoding: "utf-8"}
	places, problems := kb.ReadYAML(file, data, &f)
	if len(problems) > 0 {
		return nil, problems
	}
	m := &Mapping{file: file, places: places, base: b, separator: rune(marks[f.Separator][0]), list: marks[f.List],
		comma: f.Decimal == "comma", encoding: f.Encoding, named: f.Columns != nil}
	c := &mappingCheck{Mapping: m, file: &f}
	c.marks()
	c.dates()
	c.columns()
	c.values()
	c.defaults()
	if len(c.problems) > 0 {
		return nil, c.problems.InOrder()
	}
	return m, nil
}

// isList are the columns that hold lists; only their cells, a complaint and a
// note can be put together from several of the shop's.
var isList = [numColumns]bool{colSymptoms: true, colFindings: true, colTried: true, colCauses: true, colParts: true, colFixes: true}

// canMap are the columns whose words can be mapped.
var canMap = [numColumns]bool{colFamily: true, colModel: true, colSymptoms: true, colFindings: true, colTried: true, colCauses: true,
	colConfidence: true, colParts: true, colMinutes: true, colFixes: true, colFixMinutes: true, colFrom: true}

// isNumber are the columns that hold one number.
var isNumber = [numColumns]bool{colConfidence: true, colMinutes: true, colFixMinutes: true}

// idList is the list of the base whose ids a column holds, "" for none.
var idList = [numColumns]string{colFamily: "families", colSymptoms: "symptoms", colFindings: "checks", colTried: "fixes",
	colCauses: "causes", colParts: "parts", colFixes: "fixes"}

// columnOf returns the column of a name.
func columnOf(name string) (int, bool) {
	col := slices.Index(columnNames[:], name)
	return col, col >= 0
}

// folded is a word as it is looked up: capitals and the number of spaces do not
// count.
func folded(word string) string {
	return strings.ToLower(strings.Join(strings.Fields(word), " "))
}
