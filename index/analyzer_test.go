package index

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s is not what it was; if that is wanted, raise formatVersion and run with -update:\n%s", path, d)
	}
}

// analyzerInputs are texts with what is hard in them.
var analyzerInputs = []string{
	"no heat", "won't start", "wont start", "won’t start", "doesn't start", "does not start", "never starts", "no-start", "NO-START!",
	"on", "off", "the light is on and the fan is off", "too hot", "goes up and down",
	"no smoke or smell", "no smoke but smells", "no heat, fan runs", "not a sound out of it", "nothing happens when turned up", "no longer lights",
	"leak leaks leaking leaked leakage leaky", "ignite ignites igniting ignition igniter ignitor", "smoke smokes smoky smoking", "runs ran running",
	"quits quitting", "stuck", "lit lights lighting", "heater's heaters'",
	"5W-30", "T-T", "t-stat", "AC/DC", "on/off", "0.85 gph 80 deg hollow", "1,600 ohms", "no. 2 oil",
	"2400 ohms", "12v", "12 V", "24VAC", "blinks 3 times", "3 flashes", "3x", "after 15 sec", "30-second", "thirty seconds", "180°F", "10-15 min", "50%", "24/7",
	"flame eye", "cad cell", "the flame's eye", "cad, cell", "photocells", "reset button popped", "burner trips on reset",
	"shuts off", "shuts itself off", "shut right off", "once in a while", "all the time", "day and night",
	"flame & smoke + soot", "w/o flame", "first_second", "e.g. draft", "draught", "Überhitzt ölig", "", "  ,.;", "the a an",
}

func TestAnalyzerGolden(t *testing.T) {
	a := newAnalyzer(testBase().Synonyms)
	var b strings.Builder
	fmt.Fprintf(&b, "# Terms of texts: = a group of synonyms, ! what a \"no\" speaks about. Format %d.\n", formatVersion)
	for _, in := range analyzerInputs {
		var terms []string
		for _, term := range a.read(in).terms() {
			terms = append(terms, fmt.Sprintf("%s[%d:%d]", term.text, term.start, term.end))
		}
		fmt.Fprintf(&b, "%q -> %s\n", in, strings.Join(terms, " "))
	}
	golden(t, "analyzer.golden", b.String())
}

// TestSamePairs lists what has to mean the same, whatever the terms are.
func TestSamePairs(t *testing.T) {
	a := newAnalyzer(testBase().Synonyms)
	for _, pair := range [][2]string{
		{"won't start", "does not start"}, {"wont start", "no-start"}, {"no heat", "not heating"}, {"leaking oil", "oil leakage"},
		{"cad cell", "flame eye"}, {"shuts off after 15 sec", "quits after 20 seconds"}, {"t-stat", "thermostat"},
		{"blinks 3 times", "blinks 4 times"}, {"12v at T-T", "24 volts at t-t"}, {"smells of oil", "fuel odour"},
	} {
		if x, y := a.wording(pair[0]), a.wording(pair[1]); x != y {
			t.Errorf("%q says %q but %q says %q", pair[0], x, pair[1], y)
		}
	}
	for _, pair := range [][2]string{
		{"no heat", "heat"}, {"fan on", "fan off"}, {"igniter", "ignites"}, {"too hot", "hot"}, {"seconds", "minutes"},
	} {
		if x := a.wording(pair[0]); x == a.wording(pair[1]) {
			t.Errorf("%q and %q both say %q", pair[0], pair[1], x)
		}
	}
}

// TestStems checks words of the sample vocabulary that the Snowball project
// publishes for its English stemmer (snowballstem.org, algorithms/english),
// from memory.
func TestStems(t *testing.T) {
	for word, want := range map[string]string{
		"consigned": "consign", "consignment": "consign", "consistency": "consist", "consolation": "consol",
		"knackeries": "knackeri", "knaves": "knave", "knightly": "knight", "knocking": "knock",
	} {
		if got := stemOf(word); got != want {
			t.Errorf("stemOf(%q) = %q, want %q", word, got, want)
		}
	}
}

// anyText generates texts of everything the scanner knows and of noise.
func anyText() *rapid.Generator[string] {
	pieces := append([]string{" ", " ", ", ", "-", "'", "’", "/", ".", "°", "%", "+", "no", "not", "or", "and", "12", "1,5", "v", "sec", "é", "ß", "中", "\x80"}, analyzerInputs...)
	return rapid.Custom(func(t *rapid.T) string {
		if rapid.Bool().Draw(t, "noise") {
			return rapid.String().Draw(t, "text")
		}
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 12).Draw(t, "pieces"), "")
	})
}

func TestTermsStandInTheText(t *testing.T) {
	a := newAnalyzer(testBase().Synonyms)
	rapid.Check(t, func(t *rapid.T) {
		text := anyText().Draw(t, "text")
		for _, term := range a.read(text).terms() {
			if term.text == "" || strings.IndexFunc(term.text, unicode.IsSpace) >= 0 {
				t.Fatalf("term %q of %q would not survive the index", term.text, text)
			}
			if term.start < 0 || term.end <= term.start || term.end > len(text) {
				t.Fatalf("term %q of %q at [%d:%d]", term.text, text, term.start, term.end)
			}
		}
	})
}

// TestEditDistance checks distances printed in the literature: kitten and
// sitting, the usual example of Levenshtein's distance, and CA and ABC, the
// usual one for the difference between optimal string alignment (3) and the
// unrestricted distance (2); both from memory.
func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"ca", "abc", 3}, {"", "abc", 3}, {"nozzle", "nozzle", 0}, {"nozle", "nozzle", 1},
		{"igntier", "igniter", 1}, {"thremostat", "thermostat", 1}, {"pump", "jump", 1},
	} {
		if got := kb.EditDistance([]rune(c.a), []rune(c.b), 5); got != c.want {
			t.Errorf("EditDistance(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestEditDistanceLaws(t *testing.T) {
	letters := rapid.StringOfN(rapid.SampledFrom([]rune("abcé")), 0, 8, -1)
	rapid.Check(t, func(t *rapid.T) {
		a, b := []rune(letters.Draw(t, "a")), []rune(letters.Draw(t, "b"))
		d := kb.EditDistance(a, b, 10)
		if back := kb.EditDistance(b, a, 10); back != d {
			t.Fatalf("%d one way, %d the other", d, back)
		}
		if (d == 0) != (string(a) == string(b)) {
			t.Fatalf("distance %d of %q and %q", d, string(a), string(b))
		}
		for most := range 4 {
			if got := kb.EditDistance(a, b, most); got != min(d, most+1) {
				t.Fatalf("with most %d: %d, want %d", most, got, min(d, most+1))
			}
		}
	})
}
