package kb

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

func TestSampleLoads(t *testing.T) {
	b, problems := loadText(sample)
	problems = append(problems, b.Lint()...)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := &Check{ID: "draft", Name: "Measure the draft", Families: []string{"oil-furnace"}, Minutes: 4,
		State: map[string]string{"power": "off"}, How: []string{"Zero the gauge.", "Read it in the flue."},
		Reading:  &Reading{Unit: "inWC", Tolerance: Tolerance{Value: 2, Percent: true}, Max: new(0.1)},
		Outcomes: []Outcome{{ID: "ok", Name: "good", To: new(-0.02)}, {ID: "low", Name: "weak", From: new(-0.02)}},
		Normally: Table{{"ok", 0.9}, {"low", 0.1}}, If: Rows{{"flue-blocked", Table{{"low", 0.85}}}},
		Basis: Bases{{Of: "tables", Kind: "estimate"}, {Of: "method", Kind: "published", Source: "Handbook, p. 1"}}}
	got, ok := b.Check("draft")
	if d := cmp.Diff(want, got, sameBase...); !ok || d != "" {
		t.Error("check (-want +got):\n", d)
	}
	settings := DefaultSettings()
	settings.Strength, settings.Floor = 20, 0.001
	if d := cmp.Diff(settings, b.Settings, sameBase...); d != "" {
		t.Error("settings (-want +got):\n", d)
	}
	if at := got.origin.at("outcomes", "1", "from"); at != (Pos{"base.yaml", 33, 37}) {
		t.Errorf("the bound stands at %v", at)
	}
}

// mistakes of form, each with what is to be said about it. The signs ① and ②
// are taken out of the text and stand for their place in it in the message.
var mistakes = []struct{ name, from, to, want string }{
	{"unknown field", "- id: draft\n    name: Measure the draft\n    families: [oil-furnace]\n    minutes: 4", "- ①id: draft\n    name: Measure the draft\n    families: [oil-furnace]\n    ②minuts: 4",
		`base.yaml:①: check "draft": "minutes" is missing; add minutes: ... (working minutes without changes of state)` + "\n" +
			`base.yaml:②: check "draft": "minuts" is not a field of a check; did you mean "minutes"?`},
	{"unknown field like none", "    minutes: 4", "    minutes: 4\n    ①colour: red",
		`base.yaml:①: check "draft": "colour" is not a field of a check; its fields are id, name, was, families, minutes, state, starts, tools, skill, how, cautions, basis, reading, outcomes, normally, if`},
	{"unknown list", "components:", "①component:",
		`base.yaml:①: "component" is not a field of a base's file; did you mean "components"?`},
	{"unknown field of a part", "name: Nozzle, unit_cost: 9.5", "name: Nozzle, ①price: 9.5",
		`base.yaml:①: part "nozzle-085": "price" is not a field of a part; its fields are id, name, was, spec, unit_cost, pack, lead_days, lead_days_sd, critical, supplier, min_order, slots, superseded_by, alternates, basis`},
	{"unknown field of an outcome", "to: -0.02", "①upto: -0.02",
		`base.yaml:①: check "draft": "upto" is not a field of an outcome; its fields are id, name, was, from, to`},
	{"number for text", "name: Measure the draft", "name: ①42",
		`base.yaml:①: check "draft": "name" is a number, not text; put it in quotes: "42"`},
	{"truth value for text", "name: Measure the draft", "name: ①true",
		`base.yaml:①: check "draft": "name" is true, not text; put it in quotes: "true"`},
	{"list for text", "name: Measure the draft", "name: ①[a]",
		`base.yaml:①: check "draft": "name" is a list, not text; write text`},
	{"number in a list of texts", `["on", "off"]`, `["on", ①1]`,
		`base.yaml:①: state "power": "values.2" is a number, not text; put it in quotes: "1"`},
	{"text for a number", "    minutes: 4", "    minutes: ①four",
		`base.yaml:①: check "draft": "minutes" is text, not a number; write a number of 0.01 or more`},
	{"quoted number", "    minutes: 4", `    minutes: ①"4"`,
		`base.yaml:①: check "draft": "minutes" is text, not a number; take the quotes away: 4`},
	{"number with a comma", "    minutes: 4", `    minutes: ①4,5`,
		`base.yaml:①: check "draft": "minutes" is text, not a number; write a number of 0.01 or more`},
	{"text for a list", "    families: [oil-furnace]\n    minutes: 4", "    families: ①oil-furnace\n    minutes: 4",
		`base.yaml:①: check "draft": "families" is text, not a list; put it in brackets: [oil-furnace]`},
	{"text for a mapping", `state: {power: "off"}`, `state: ①"off"`,
		`base.yaml:①: check "draft": "state" is text, not a mapping; write pairs, such as {a: 1, b: 2}`},
	{"text for a struct", "when: {starts: 3}", "when: ①starts",
		`base.yaml:①: hold "relight-limit": "when" is text, not a mapping; write its fields, such as {starts: ...}`},
	{"text for an entry", "parts:\n", "parts:\n  - ①nozzle-090\n",
		`base.yaml:①: part 1: is text, not a mapping; write its fields, such as {id: ..., name: ...}`},
	{"text for a truth value", "critical: true", `critical: ①"true"`,
		`base.yaml:①: part "nozzle-085": "critical" is text, not true or false; write true or false without quotes`},
	{"old truth value", "critical: true", `critical: ①yes`,
		`base.yaml:①: part "nozzle-085": "critical" is text, not true or false; write true or false without quotes`},
	{"empty value", "    how: [\"Start it.\"]", "    ①how:",
		`base.yaml:①: check "proof-run": "how" is empty; write a value or leave the line out`},
	{"empty list", "synonyms:\n  - [nozzle, spray tip]", "①synonyms:",
		`base.yaml:①: "synonyms" is empty; write a value or leave the line out`},
	{"empty probability", `{ok: 0.9, low: 0.1}`, `{ok: 0.9, ①low: }`,
		`base.yaml:①: check "draft": "normally.low" is empty; write a number from 0 to 1`},
	{"missing", "- id: proof-run\n    name: Watch one start\n", "- ①id: proof-run\n",
		`base.yaml:①: check "proof-run": "name" is missing; add name: ...`},
	{"missing with its meaning", "    when: {starts: 3}\n    keeps_back: starting\n    until: {check: draft, outcome: ok}", "    when: {starts: 3}\n    keeps_back: starting\n    until: ①{check: draft}",
		`base.yaml:①: hold "relight-limit": "until.outcome" is missing; add outcome: ...`},
	{"missing id", "{id: nozzle, name: Nozzle, families", "①{name: Nozzle, families",
		`base.yaml:①: component 1: "id" is missing; add id: ...`},
	{"blank", "says: Look into the chamber first.", `says: ①"  "`,
		`base.yaml:①: hold "relight-limit": "says" is blank; write some text`},
	{"blank item", `["Zero the gauge.", "Read it in the flue."]`, `["Zero the gauge.", ①""]`,
		`base.yaml:①: check "draft": "how.2" is blank; write some text`},
	{"not an id", "- id: draft", "- id: ①Draft_Test",
		`base.yaml:①: check "Draft_Test": "id" is "Draft_Test", which is not an id; write lower-case words and digits joined by -, such as "draft-test"`},
	{"former id that is none", "{id: nozzle-worn, name: Nozzle worn,", "{id: nozzle-worn, was: [nozzle-old, ①Nozzle Old], name: Nozzle worn,",
		`base.yaml:①: cause "nozzle-worn": "was.2" is "Nozzle Old", which is not an id; write lower-case words and digits joined by -, such as "nozzle-old"`},
	{"former id without brackets", "{id: low, name: weak,", "{id: low, was: ①weak, name: weak,",
		`base.yaml:①: check "draft": "outcomes.2.was" is text, not a list; put it in brackets: [weak]`},
	{"too small", "    minutes: 4", "    minutes: ①0",
		`base.yaml:①: check "draft": "minutes" is 0, less than the least allowed 0.01; write a number of 0.01 or more`},
	{"too great", "cures: 0.97", "cures: ①97",
		`base.yaml:①: fix "replace-nozzle": "cures" is 97, more than the most allowed 1; write a number from 0 to 1`},
	{"negative in a mapping", "share: {oil-furnace: 3}", "share: {oil-furnace: ①-3}",
		`base.yaml:①: cause "nozzle-worn": "share.oil-furnace" is -3, less than the least allowed 0; write a number of 0 or more`},
	{"probability above 1", `{low: 0.85}`, `{low: ①1.85}`,
		`base.yaml:①: check "draft": "if.flue-blocked.low" is 1.85, more than the most allowed 1; write a number from 0 to 1`},
	{"settings out of range", "floor: 0.001", "floor: ①1",
		`base.yaml:①: "settings.floor" is 1, more than the most allowed 0.1; write a number from 0 to 0.1`},
	{"part of a whole", "starts: 1\n", "starts: ①1.5\n",
		`base.yaml:①: check "proof-run": "starts" is 1.5, not a whole number of a likely size; write a whole number`},
	{"whole but too great", "starts: 1\n", "starts: ①3e9\n",
		`base.yaml:①: check "proof-run": "starts" is 3e+09, not a whole number of a likely size; write a whole number`},
	{"infinite", "unit_cost: 9.5", "unit_cost: ①.inf",
		`base.yaml:①: part "nozzle-085": "unit_cost" is not a finite number; write a number of 0 or more`},
	{"not a number", "to: -0.02", "to: ①.nan",
		`base.yaml:①: check "draft": "outcomes.1.to" is not a finite number; write a plain number`},
	{"too great for a number", "unit_cost: 9.5", "unit_cost: ①1e999",
		`base.yaml:①: part "nozzle-085": "unit_cost" is not a finite number; write a number of 0 or more`},
	{"word not allowed", "starts: 1\n", "starts: 1\n    skill: ①expert\n",
		`base.yaml:①: check "proof-run": "skill" is "expert", which is not one of the words allowed; write one of anyone, technician, licensed`},
	{"word misspelt", "starts: 1\n", "starts: 1\n    skill: ①technican\n",
		`base.yaml:①: check "proof-run": "skill" is "technican", which is not one of the words allowed; did you mean "technician"?`},
	{"kind of basis", "{of: tables, kind: estimate}", "{of: tables, kind: ①guess}",
		`base.yaml:①: check "draft": "basis.1.kind" is "guess", which is not one of the words allowed; write one of common-practice, published, estimate`},
	{"too few", `["on", "off"]`, `①["on"]`,
		`base.yaml:①: state "power": "values" holds 1, fewer than the 2 needed; add what is missing`},
	{"none", "share: {oil-furnace: 3}", "share: ①{}",
		`base.yaml:①: cause "nozzle-worn": "share" holds nothing; write at least 1`},
	{"table without outcomes", `{low: 0.85}`, `①{}`,
		`base.yaml:①: check "draft": "if.flue-blocked" holds no outcome; write it like {"no": 0.9, "yes": 0.1}`},
	{"table as a list", `normally: {ok: 0.9, low: 0.1}`, `normally: ①[0.9, 0.1]`,
		`base.yaml:①: check "draft": "normally" is a list, not a mapping of outcomes to probabilities; write it like {"no": 0.9, "yes": 0.1}`},
	{"rows as a list", "    if:\n      flue-blocked: {low: 0.85}", "    if: ①[flue-blocked]",
		`base.yaml:①: check "draft": "if" is a list, not a mapping of causes to tables; write it like {some-cause: {"yes": 0.7}}`},
	{"row as a number", "flue-blocked: {low: 0.85}", "flue-blocked: ①0.85",
		`base.yaml:①: check "draft": "if.flue-blocked" is a number, not a mapping of outcomes to probabilities; write it like {"no": 0.9, "yes": 0.1}`},
	{"tolerance as text", "tolerance: 2%", "tolerance: ①about 2",
		`base.yaml:①: check "draft": "reading.tolerance" is "about 2", not a number or a percentage; write a number in the reading's unit, or a percentage such as 2%`},
	{"negative tolerance", "tolerance: 2%", "tolerance: ①-2",
		`base.yaml:①: check "draft": "reading.tolerance" is -2, less than the least allowed 0; write a number of 0 or more`},
	{"keeps back one check", "keeps_back: starting", "keeps_back: ①draft",
		`base.yaml:①: hold "relight-limit": "keeps_back" is "draft"; write starting, all, or a list of checks such as [draft]`},
	{"keeps back nothing", "keeps_back: starting", "keeps_back: ①[]",
		`base.yaml:①: hold "relight-limit": "keeps_back" holds nothing; write at least 1`},
	{"keeps back a number", "keeps_back: starting", "keeps_back: ①3",
		`base.yaml:①: hold "relight-limit": "keeps_back" is a number, not starting, all or a list of checks; write one of these`},
	{"basis as text", "source: \"Handbook, p. 1\"}]", "source: \"Handbook, p. 1\"}, ①estimate]",
		`base.yaml:①: check "draft": "basis.3" is text, not a mapping; write its fields, such as {kind: ...}`},
	{"no basis in the list", "says: Look into the chamber first.\n    basis: {kind: estimate}", "says: Look into the chamber first.\n    basis: ①[]",
		`base.yaml:①: hold "relight-limit": "basis" holds nothing; write it like {kind: estimate}`},
	{"no schema", "schema: 1\nsettings", "①settings",
		`base.yaml:①: "schema" is missing; add schema: ... (version of the file format: 1)`},
	{"schema of old", "schema: 1\n", "schema: ①0\n",
		`base.yaml:①: "schema" is 0, less than the least allowed 1; write 1`},
	{"schema to come", "schema: 1\n", "schema: ①2\nnew-list: []\n",
		`base.yaml:①: the file has schema 2 and this program reads schema 1; update sootsayer, or use files written for it`},
	{"schema as text", "schema: 1\n", "schema: ①\"1\"\n",
		`base.yaml:①: "schema" is text, not a number; take the quotes away: 1`},
	{"a list for a file", sample, "①- a\n",
		`base.yaml:①: the file holds a list, not fields; begin it with the line: schema: 1`},
	{"text for a file", sample, "①hello",
		`base.yaml:①: the file holds text, not fields; begin it with the line: schema: 1`},
}

// beyondSchema are mistakes that JSON cannot express or that are of several
// documents together, so that the schema has nothing to say about them.
var beyondSchema = []struct{ name, from, to, want string }{
	{"given twice", "    minutes: 4\n", "    ②minutes: 4\n    ①minutes: 5\n",
		`base.yaml:①: check "draft": "minutes" is given twice, first at base.yaml:②; remove one of the two`},
	{"row given twice", "flue-blocked: {low: 0.85}\n", "②flue-blocked: {low: 0.85}\n      ①flue-blocked: {low: 0.8}\n",
		`base.yaml:①: check "draft": "flue-blocked" is given twice, first at base.yaml:②; remove one of the two`},
	{"key that is no text", `{"no": 0.95, "yes": 0.05}`, `{①false: 0.95, "yes": 0.05}`,
		`base.yaml:①: symptom "smokes": "normally" has a key that is false, not text; put it in quotes: "false"`},
	{"id given twice", "- id: draft\n", "- id: ②twin\n    name: a\n    families: [oil-furnace]\n    minutes: 1\n    outcomes: [{id: a, name: a}, {id: b, name: b}]\n    normally: {a: 1}\n  - id: ①twin\n",
		`base.yaml:①: check "twin": the id is given twice, first at base.yaml:②; rename or remove one of the two`},
	{"settings given twice", "synonyms:", "---\nschema: 1\n①settings: {strength: 5}\nsynonyms:",
		`base.yaml:①: the settings are given twice, first at base.yaml:2:1; put them in one place`},
	{"aliases", "share: {oil-furnace: 3}", "share: ①*shared",
		`base.yaml:①: aliases (*name) are not used in a base; write the value out in each place, or put the text in quotes if it is meant as text`},
	{"anchors", "share: {oil-furnace: 3}", "share: ①&shared {oil-furnace: 3}",
		`base.yaml:①: anchors (&name) are not used in a base; write the value out in each place, or put the text in quotes if it is meant as text`},
	{"merge keys", "share: {oil-furnace: 3}", "share: {①<<: 3}",
		`base.yaml:①: merge keys (<<) are not used in a base; write the value out in each place, or put the text in quotes if it is meant as text`},
	{"tags", "minutes: 4\n", "minutes: ①!!float 4\n",
		`base.yaml:①: tags (!name) are not used in a base; write the value out in each place, or put the text in quotes if it is meant as text`},
	{"colon in plain text", "name: Measure the draft", "name: ①Draft: measure it",
		`base.yaml:①: this is not YAML: mapping value is not allowed in this context; put text that holds ": " in quotes`},
	{"tab", "    minutes: 4", "①\tminutes: 4",
		`base.yaml:①: this is not YAML: found character tab that cannot start any token; indent with spaces`},
	{"bracket left open", "[\"on\", \"off\"]\n    minutes", "[\"on\", \"off\"\n    ①minutes",
		`base.yaml:①: this is not YAML: ',' or ']' must be specified; close the bracket before the line ends, or put a comma between the values`},
	{"quote left open", "says: Look", "says: ①\"Look",
		`base.yaml:①: this is not YAML: could not find end character of double-quoted text; end the text with the same quote it began with`},
	{"reserved character", `name: Smokes`, "name: ①@Smokes",
		`base.yaml:①: this is not YAML: '@' is a reserved character; put the text in quotes`},
	{"empty document", "synonyms:", "①---\n# nothing\n---\nschema: 1\nsynonyms:",
		`base.yaml:①: nothing stands between two --- lines; remove one of them`},
	{"empty file", sample, "# nothing here\n",
		`base.yaml: the file is empty; begin it with the line: schema: 1; or remove it`},
	{"not UTF-8", "Measure the draft", "Mesure du tirage à froid ①\xff",
		`base.yaml:①: a byte here is not UTF-8 text; save the file as UTF-8`},
}

func TestMistakesOfForm(t *testing.T) {
	for _, m := range slices.Concat(mistakes, beyondSchema) {
		t.Run(m.name, func(t *testing.T) {
			text, want := marked(changed(m.from, m.to), m.want)
			b, problems := loadText(text)
			if d := cmp.Diff(want, problems.Error()); d != "" {
				t.Error("problems (-want +got):\n", d)
			}
			if b == nil {
				t.Error("no base")
			}
		})
	}
}

func TestValidFormsLoad(t *testing.T) {
	for name, text := range validForms {
		t.Run(name, func(t *testing.T) {
			b, problems := loadText(text)
			if problems = append(problems, b.Lint()...); len(problems.Errors()) > 0 {
				t.Error(problems)
			}
		})
	}
}

// validForms are other ways to write what the sample holds.
var validForms = map[string]string{
	"sample":               sample,
	"byte order mark":      "\ufeff" + sample,
	"lines end in CR LF":   strings.ReplaceAll(sample, "\n", "\r\n"),
	"several documents":    changed("parts:\n", "---\nschema: 1\nparts:\n"),
	"document end":         sample + "...\n",
	"empty last document":  sample + "---\n",
	"start line":           "---\n" + sample,
	"plain on and off":     changed(`state: {power: "off"}`, `state: {power: off}`),
	"single quotes":        changed(`"Read it in the flue."`, `'Read it in the flue.'`),
	"exponent":             changed("    minutes: 4\n", "    minutes: 4e0\n"),
	"leading zeros":        changed("    minutes: 4\n", "    minutes: 004\n"),
	"folded text":          changed("says: Look into the chamber first.", "says: >-\n      Look into\n      the chamber first."),
	"absolute tolerance":   changed("tolerance: 2%", "tolerance: 0.01"),
	"whole as a float":     changed("starts: 1\n", "starts: 1.0\n"),
	"list of checks":       changed("keeps_back: starting", "keeps_back: [proof-run]"),
	"all":                  changed("keeps_back: starting", "keeps_back: all"),
	"ranges the other way": changed("{id: ok, name: good, to: -0.02}", "{id: ok, name: good, from: -0.5, to: -0.02}\n      - {id: high, name: strong, to: -0.5}"),
}

// TestNumbersFollowCoreSchema: the values are those of YAML 1.2.2, section
// 10.3.2, Core Schema; 010 is ten and 1_000 is text there.
func TestNumbersFollowCoreSchema(t *testing.T) {
	for text, want := range map[string]string{
		"12": "12", "+12": "12", "010": "10", "0o14": "12", "0x1F": "31", "12e03": "12000", "1.5e-1": "0.15", ".5": "0.5", "1.": "1",
		"1_000": "text", "0b11": "text", "1e": "text", "-0x1": "text", "1:30": "text", ".inf": "not finite", "~": "empty",
	} {
		b, problems := loadText("schema: 1\nparts:\n  - {id: a, name: a, unit_cost: " + text + "}\n")
		got := problems.Error()
		switch {
		case len(problems) == 0:
			got = number(b.Parts[0].UnitCost)
		case strings.Contains(got, "is text"):
			got = "text"
		case strings.Contains(got, "not a finite"):
			got = "not finite"
		case strings.Contains(got, "is empty"):
			got = "empty"
		}
		if got != want {
			t.Errorf("%s is read as %s, want %s", text, got, want)
		}
	}
}

func TestFilesAreMerged(t *testing.T) {
	cut := strings.Index(sample, "causes:")
	b, problems := Load(fstest.MapFS{
		"a.yaml":         {Data: []byte(sample[:cut])},
		"b.yml":          {Data: []byte("schema: 1\n" + sample[cut:])},
		".hidden.yaml":   {Data: []byte("nonsense: [")},
		"notes.txt":      {Data: []byte("nonsense: [")},
		"sub/other.yaml": {Data: []byte("nonsense: [")},
	})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	whole, _ := loadText(sample)
	if d := cmp.Diff(whole, b, sameBase...); d != "" {
		t.Error("merged (-whole +merged):\n", d)
	}
	if at := b.Causes[0].origin.pos(); at.File != "b.yml" || at.Line != 3 {
		t.Errorf("the first cause stands at %v", at)
	}
}

// TestAllFilesAreReported: one bad file does not hide the others, and ids that
// may stand in a file that cannot be read are not called unknown.
func TestAllFilesAreReported(t *testing.T) {
	cut := strings.Index(sample, "causes:")
	b, problems := Load(fstest.MapFS{
		"a.yaml": {Data: []byte(strings.Replace(sample[:cut], "minutes: 4", "minutes: no", 1))},
		"b.yaml": {Data: []byte("schema: 1\ncauses: [\n")},
		"c.yaml": {Data: []byte("schema: 1\nchecks:\n  - {id: draft}\n")},
	})
	problems = append(problems, b.Lint()...).InOrder()
	for _, want := range []string{"a.yaml:27:14", "b.yaml:2:9", "c.yaml:3:5"} {
		if !strings.Contains(problems.Error(), want) {
			t.Errorf("nothing is said about %s in:\n%v", want, problems)
		}
	}
	if strings.Contains(problems.Error(), "there is no cause") {
		t.Errorf("causes of the unreadable file are called unknown:\n%v", problems)
	}
}

func TestProblemsAreCapped(t *testing.T) {
	text := "schema: 1\nparts:\n" + strings.Repeat("  - {}\n", 5000)
	_, problems := loadText(text)
	if last := problems[len(problems)-1].Error(); len(problems) != maxProblems+1 || !strings.Contains(last, "9700 more errors") {
		t.Errorf("%d problems, the last is %q", len(problems), last)
	}
}

func TestUnreadableFolders(t *testing.T) {
	for name, c := range map[string]struct {
		fsys fs.FS
		want string
	}{
		"no files":   {fstest.MapFS{"notes.txt": {}}, "there is no *.yaml file in the folder"},
		"no folder":  {brokenFS{}, "the folder cannot be read: the disk is gone"},
		"bad file":   {brokenFS{"."}, "the file cannot be read: the disk is gone"},
		"empty file": {fstest.MapFS{"a.yaml": {}}, "the file is empty"},
	} {
		_, problems := Load(c.fsys)
		if len(problems) != 1 || !strings.Contains(problems[0].Error(), c.want) {
			t.Errorf("%s: %v", name, problems)
		}
	}
}

// brokenFS fails at everything but listing the folders named.
type brokenFS []string

func (b brokenFS) Open(name string) (fs.File, error) { return nil, errors.New("the disk is gone") }

func (b brokenFS) ReadDir(string) ([]fs.DirEntry, error) {
	if len(b) == 0 {
		return nil, errors.New("the disk is gone")
	}
	return fstest.MapFS{"a.yaml": {}}.ReadDir(".")
}

// TestHostileFilesEnd: files made to take the parser's stack or time are refused
// or read, in time.
func TestHostileFilesEnd(t *testing.T) {
	const n = 100_000
	for name, text := range map[string]string{
		"brackets":     strings.Repeat("[", n),
		"braces":       strings.Repeat("{a: ", n),
		"dashes":       strings.Repeat("- ", n),
		"questions":    strings.Repeat("? ", n),
		"tags":         strings.Repeat("!a ", n),
		"anchors":      strings.Repeat("&a ", n),
		"quotes":       strings.Repeat(`"`, n),
		"colons":       strings.Repeat("a: ", n),
		"commas":       "[" + strings.Repeat(",", n),
		"documents":    strings.Repeat("---\na: 1\n", n),
		"lines":        strings.Repeat("a: b\n", n),
		"long text":    "a: |\n" + strings.Repeat("  b\n", n),
		"long plain":   "a: " + strings.Repeat("b\n  ", n),
		"long quoted":  `a: "` + strings.Repeat("b\n ", n) + `"`,
		"indentation":  indented(1000),
		"comments":     strings.Repeat("# a\n", n),
		"flow mapping": "a: {" + strings.Repeat("b: c, ", n) + "}",
		"entries":      "a:\n" + strings.Repeat("- b\n", n),
		"list":         "a: [" + strings.Repeat("b, ", n) + "]",
		"blank":        strings.Repeat("\n", n) + strings.Repeat(" ", n),
		"laughing":     "a: &a [b,b]\nc: &c [*a,*a]\nd: [*c,*c]\n",
		"control":      "a: \x01\x02\x1b\n",
		"colon alone":  ":",
		"dash and key": "- a: 1\nb: 2\n",
	} {
		t.Run(name, func(t *testing.T) {
			b, problems := loadText(text)
			if len(problems) == 0 {
				t.Error("nothing is said about it")
			}
			b.Lint()
		})
	}
}

func indented(depth int) string {
	var b strings.Builder
	for i := range depth {
		fmt.Fprintf(&b, "%sa:\n", strings.Repeat(" ", i))
	}
	return b.String()
}
