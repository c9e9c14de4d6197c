package kb

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// sameBase compares bases by what people wrote; where it was read and the
// look-ups do not count.
var sameBase = cmp.Options{
	cmpopts.IgnoreUnexported(Base{}, Settings{}, Family{}, Component{}, State{}, Symptom{}, Check{}, Cause{}, Fix{}, Part{}, Hold{}),
}

// loadText loads one file.
func loadText(text string) (*Base, Problems) {
	return Load(fstest.MapFS{"base.yaml": {Data: []byte(text)}})
}

// roundTrips are the three written forms of a base.
var roundTrips = map[string]func(*Base) (*Base, []byte, error){
	"YAML": func(b *Base) (*Base, []byte, error) {
		text, err := b.YAML()
		if err != nil {
			return nil, text, err
		}
		got, problems := loadText(string(text))
		if len(problems) > 0 {
			return got, text, problems
		}
		return got, text, nil
	},
	"JSON": func(b *Base) (*Base, []byte, error) {
		text, err := json.Marshal(b)
		if err != nil {
			return nil, text, err
		}
		got := new(Base)
		return got, text, json.Unmarshal(text, got)
	},
	"gob": func(b *Base) (*Base, []byte, error) {
		var buf bytes.Buffer
		if err := gob.NewEncoder(&buf).Encode(b); err != nil {
			return nil, nil, err
		}
		got := new(Base)
		return got, nil, gob.NewDecoder(&buf).Decode(got)
	},
}

func TestShippedBaseRoundTrips(t *testing.T) {
	b, problems := shippedBase(t)
	if len(problems.Errors()) > 0 {
		t.Skip("the shipped base does not load; TestShippedBaseLintReport says why")
	}
	for name, through := range roundTrips {
		t.Run(name, func(t *testing.T) {
			got, _, err := through(b)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(b, got, sameBase...); d != "" {
				t.Error("the base changed (-before +after):\n", d)
			}
		})
	}
}

func TestBasesRoundTrip(t *testing.T) {
	for name, through := range roundTrips {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			b := drawBase(t)
			got, text, err := through(b)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			if d := cmp.Diff(b, got, sameBase...); d != "" {
				t.Fatalf("the base changed (-before +after):\n%s\n%s", d, text)
			}
			if got.Lint(); len(b.Checks) > 0 && got.index.checks == nil {
				t.Fatal("the look-ups were not rebuilt")
			}
		}))
	}
}

// TestGobKeepsZeroBounds: gob leaves zeros out even behind pointers, and a
// bound at zero is not the same as none.
func TestGobKeepsZeroBounds(t *testing.T) {
	b := &Base{Schema: 1, Checks: []Check{{ID: "vacuum", Reading: &Reading{Unit: "inHg", Min: new(0.0)},
		Outcomes: []Outcome{{ID: "none", To: new(0.0)}, {ID: "some", From: new(0.0)}}}}}
	got, _, err := roundTrips["gob"](b)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(b, got, sameBase...); d != "" {
		t.Error("bounds changed (-before +after):\n", d)
	}
}

func TestYAMLRefusesWhatItCannotWrite(t *testing.T) {
	for name, b := range map[string]*Base{
		"not UTF-8": {Families: []Family{{ID: "oil-furnace", Name: "\xff"}}},
		"infinite":  {Parts: []Part{{ID: "pump", UnitCost: inf}}},
	} {
		if text, err := b.YAML(); err == nil {
			t.Errorf("%s: no error, wrote\n%s", name, text)
		}
	}
}

func TestJSONRefusals(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"table as a list", `{"checks": [{"normally": [1]}]}`, "expected an object"},
		{"outcome twice", `{"checks": [{"normally": {"ok": 0.5, "ok": 0.5}}]}`, `"ok" is given twice`},
		{"probability as text", `{"checks": [{"if": {"a": {"ok": "half"}}}]}`, `"ok": json: cannot unmarshal string`},
		{"tolerance", `{"checks": [{"reading": {"tolerance": "much"}}]}`, `tolerance "much" is not a number`},
		{"tolerance as a list", `{"checks": [{"reading": {"tolerance": []}}]}`, "cannot unmarshal array"},
		{"keeps back a word", `{"holds": [{"keeps_back": "some"}]}`, `a hold keeps back "starting", "all" or a list of checks`},
		{"keeps back a number", `{"holds": [{"keeps_back": 3}]}`, "cannot unmarshal number"},
		{"basis as text", `{"causes": [{"basis": "estimate"}]}`, "cannot unmarshal string"},
		{"half a basis", `{"causes": [{"basis": {"kind": 3}}]}`, "cannot unmarshal number"},
	} {
		err := json.Unmarshal([]byte(c.text), new(Base))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// TestJSONNullsAndDefaults: null stands for nothing, and settings that are left
// out are the usual ones.
func TestJSONNullsAndDefaults(t *testing.T) {
	var b Base
	err := json.Unmarshal([]byte(`{"schema": 1, "settings": {"floor": 0}, "checks": [{"id": "a", "normally": null, "if": null, "reading": {"tolerance": null}, "basis": null}], "holds": [{"keeps_back": null}]}`), &b)
	if err != nil {
		t.Fatal(err)
	}
	want := Base{Schema: 1, Settings: DefaultSettings(), Checks: []Check{{ID: "a", Reading: &Reading{}}}, Holds: []Hold{{}}}
	want.Settings.Floor = 0
	if d := cmp.Diff(want, b, sameBase...); d != "" {
		t.Error("base (-want +got):\n", d)
	}
	if _, ok := b.Check("a"); !ok {
		t.Error("the look-ups were not rebuilt")
	}
}

func TestGobRefusesDamage(t *testing.T) {
	var good bytes.Buffer
	if err := gob.NewEncoder(&good).Encode(gobBase{Zero: []zeroBound{{Check: 3}}}); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"nonsense": []byte("nonsense"), "empty": nil, "bound of no check": good.Bytes()} {
		if err := new(Base).GobDecode(data); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// drawText draws text that a base may hold, with the characters that YAML minds.
func drawText(t *rapid.T, label string) string {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"yes", "No", "on", "null", "~", "1.5", "0x1F", "1e3", ".inf", "- a", "a: b", "a #b", "#b", "{a}", "[", "'q'", `"q"`, `\n`, "a\nb\n", "  a", "a  ", "a\tb", "*x", "&x", "!x", "%x", "@x", "`x", "|", ">", "?", ": ", "é", "😀", "\u0085", "\u2028", "\ufeffx", "\x7f", "\x01", "---", "...", "<<", "="}),
		rapid.StringMatching(`[a-z ]{0,10}[A-Z:#,.'"{}\[\]-][a-z0-9 ]{1,10}`),
		rapid.String(),
	).Filter(func(s string) bool { return notBlank.MatchString(s) && !strings.Contains(s, "\x00") }).Draw(t, label)
}

func drawID(t *rapid.T, label string) string {
	return rapid.StringMatching(`[a-z0-9]{1,6}(-[a-z0-9]{1,4}){0,2}`).Draw(t, label)
}

func drawIDs(t *rapid.T, label string) []string {
	var out []string
	for range rapid.IntRange(0, 2).Draw(t, label) {
		out = append(out, drawID(t, label))
	}
	return out
}

func drawTexts(t *rapid.T, label string, least int) []string {
	n := rapid.IntRange(least, least+2).Draw(t, label)
	if n == 0 {
		return nil
	}
	out := make([]string, n)
	for i := range out {
		out[i] = drawText(t, label)
	}
	return out
}

func drawNumbers(t *rapid.T, label string, least int, lo, hi float64) map[string]float64 {
	return drawMap(t, label, least, func() float64 { return rapid.Float64Range(lo, hi).Draw(t, label) })
}

func drawMap[V any](t *rapid.T, label string, least int, value func() V) map[string]V {
	n := rapid.IntRange(least, least+2).Draw(t, label)
	out := map[string]V{}
	for len(out) < n {
		out[drawText(t, label)] = value()
	}
	if n == 0 {
		return nil
	}
	return out
}

func drawTable(t *rapid.T, label string) Table {
	var out Table
	for _, o := range rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z]{1,4}`), 1, 4, rapid.ID).Draw(t, label) {
		out = append(out, Prob{o, rapid.Float64Range(0, 1).Draw(t, label)})
	}
	return out
}

func drawRows(t *rapid.T, label string) Rows {
	var out Rows
	for _, c := range rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z]{1,4}(-[a-z]{2})?`), 0, 4, rapid.ID).Draw(t, label) {
		out = append(out, Row{c, drawTable(t, label)})
	}
	return out
}

func drawBasis(t *rapid.T) Bases {
	one := rapid.Custom(func(t *rapid.T) Basis {
		b := Basis{Kind: rapid.SampledFrom([]string{"estimate", "published", "common-practice"}).Draw(t, "kind"),
			Of:    rapid.SampledFrom([]string{"", "tables", "minutes"}).Draw(t, "of"),
			Grade: rapid.SampledFrom([]string{"", "HB", "CP"}).Draw(t, "grade")}
		if rapid.Bool().Draw(t, "sourced") {
			b.Source = drawText(t, "source")
		}
		return b
	})
	return rapid.SliceOfN(one, 1, 3).Draw(t, "basis")
}

func drawBound(t *rapid.T, label string) *float64 {
	switch rapid.IntRange(0, 2).Draw(t, label) {
	case 0:
		return nil
	case 1:
		return new(0.0)
	}
	return new(rapid.Float64Range(-1e9, 1e9).Draw(t, label))
}

// drawBase draws a base that keeps the form of the format; it need not make
// sense.
func drawBase(t *rapid.T) *Base {
	b := &Base{Schema: 1, Settings: DefaultSettings()}
	b.Settings.Floor = rapid.Float64Range(0, 0.1).Draw(t, "floor")
	b.Settings.HalfLifeYears = rapid.SampledFrom([]float64{0, 3}).Draw(t, "half life")
	seen := map[string]bool{}
	several := func(label string, add func(id string)) {
		for range rapid.IntRange(0, 2).Draw(t, label) {
			id := drawID(t, label)
			if !seen[label+id] {
				seen[label+id] = true
				add(id)
			}
		}
	}
	several("families", func(id string) {
		b.Families = append(b.Families, Family{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), Fuel: drawText(t, "fuel"), Cautions: drawTexts(t, "cautions", 0)})
	})
	several("components", func(id string) {
		b.Components = append(b.Components, Component{ID: id, Name: drawText(t, "name"), Families: drawTexts(t, "families", 1)})
	})
	several("states", func(id string) {
		b.States = append(b.States, State{ID: id, Was: drawIDs(t, "was"), Values: drawTexts(t, "values", 2), Minutes: drawNumbers(t, "minutes", 1, 0, 50),
			Cautions: drawMap(t, "cautions", 0, func() string { return drawText(t, "caution") }), Basis: drawBasis(t)})
	})
	several("symptoms", func(id string) {
		b.Symptoms = append(b.Symptoms, Symptom{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), Families: drawTexts(t, "families", 1), Phrases: drawTexts(t, "phrases", 0),
			Minutes: rapid.Float64Range(0.01, 99).Draw(t, "minutes"), Normally: drawTable(t, "normally"), If: drawRows(t, "if")})
	})
	several("checks", func(id string) { b.Checks = append(b.Checks, drawCheck(t, id)) })
	several("causes", func(id string) {
		b.Causes = append(b.Causes, Cause{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), Share: drawNumbers(t, "share", 1, 0, 1e6), LeadsTo: drawNumbers(t, "leads", 0, 0, 1), Fix: drawText(t, "fix")})
	})
	several("fixes", func(id string) {
		b.Fixes = append(b.Fixes, Fix{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), Minutes: 1.5, Cures: rapid.Float64Range(0, 1).Draw(t, "cures"),
			Parts: []PartUse{{Part: drawText(t, "part"), Qty: 2, Chance: 0.5}}, State: drawMap(t, "state", 0, func() string { return drawText(t, "value") })})
	})
	several("parts", func(id string) {
		b.Parts = append(b.Parts, Part{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), UnitCost: rapid.Float64Range(0, 1e4).Draw(t, "cost"), Pack: rapid.IntRange(0, 9).Draw(t, "pack"), Critical: rapid.Bool().Draw(t, "critical")})
	})
	several("holds", func(id string) {
		b.Holds = append(b.Holds, Hold{ID: id, Families: drawTexts(t, "families", 1), When: Trigger{Starts: rapid.IntRange(0, 3).Draw(t, "starts"), Check: drawText(t, "check")},
			KeepsBack: rapid.SampledFrom([]KeepsBack{{All: true}, {Starting: true}, {Checks: []string{"a", "b"}}, {Checks: []string{"all"}}}).Draw(t, "keeps"),
			Until:     Clearance{Check: drawText(t, "check"), Outcome: drawText(t, "outcome")}, Says: drawText(t, "says"), Basis: drawBasis(t)})
	})
	for range rapid.IntRange(0, 2).Draw(t, "synonyms") {
		b.Synonyms = append(b.Synonyms, drawTexts(t, "terms", 1))
	}
	return b
}

func drawCheck(t *rapid.T, id string) Check {
	c := Check{ID: id, Was: drawIDs(t, "was"), Name: drawText(t, "name"), Families: drawTexts(t, "families", 1), Minutes: rapid.Float64Range(0.01, 99).Draw(t, "minutes"),
		Starts: rapid.IntRange(0, 2).Draw(t, "starts"), Skill: rapid.SampledFrom([]string{"", "anyone", "licensed"}).Draw(t, "skill"),
		How: drawTexts(t, "how", 0), Normally: drawTable(t, "normally"), If: drawRows(t, "if"), Basis: drawBasis(t)}
	for range rapid.IntRange(2, 3).Draw(t, "outcomes") {
		c.Outcomes = append(c.Outcomes, Outcome{ID: drawID(t, "outcome"), Was: drawIDs(t, "was"), Name: drawText(t, "name"), From: drawBound(t, "from"), To: drawBound(t, "to")})
	}
	if rapid.Bool().Draw(t, "reading") {
		c.Reading = &Reading{Unit: drawText(t, "unit"), Min: drawBound(t, "min"), Max: drawBound(t, "max"),
			Tolerance: rapid.SampledFrom([]Tolerance{{}, {Value: 2, Percent: true}, {Value: 0.25}, {Value: 0.1, Percent: true}, {Percent: true}}).Draw(t, "tolerance")}
	}
	return c
}

func BenchmarkGobOfShipped(b *testing.B) {
	base, _ := shippedBase(b)
	var buf bytes.Buffer
	if err := gob.NewEncoder(&buf).Encode(base); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(buf.Len()))
	for b.Loop() {
		if err := gob.NewDecoder(bytes.NewReader(buf.Bytes())).Decode(new(Base)); err != nil {
			b.Fatal(err)
		}
	}
}
