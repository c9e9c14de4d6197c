package cli

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"sootsayer/index"
)

func TestMark(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		spans      [][2]int
		want       string
	}{
		{"a word", "no heat here", [][2]int{{3, 7}}, "no *heat* here"},
		{"two words as one", "the flame eye sees", [][2]int{{4, 13}}, "the *flame* *eye* sees"},
		{"first and last", "no heat", [][2]int{{0, 2}, {3, 7}}, "*no* *heat*"},
		{"a star of its own", "5 * 3 heat", [][2]int{{6, 10}}, "5 * 3 *heat*"},
		{"not ASCII", "über heat", [][2]int{{0, 5}}, "*über* heat"},
		{"nothing", "no heat", nil, "no heat"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := shownMarks(mark(tc.text, tc.spans), 80); got != tc.want {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}

// shownMarks is marked text as it comes out without colours, joined again.
func shownMarks(text string, width int) string {
	var out bytes.Buffer
	(&printer{w: &out, width: width}).marked("", text)
	return strings.Join(strings.Fields(out.String()), " ")
}

// TestExcerptHoldsTheFirstMark cuts random texts: what is left is not too long,
// holds the first marked word, and stands in the text as it is.
func TestExcerptHoldsTheFirstMark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zä]{1,9}`), 1, 60).Draw(t, "words")
		at := rapid.IntRange(0, len(words)-1).Draw(t, "marked")
		most := rapid.IntRange(20, 200).Draw(t, "most")
		words[at] = markOpen + words[at] + markClose
		text := strings.Join(words, " ")
		got := excerpt(text, most)
		if n := utf8.RuneCountInString(got); n > most {
			t.Errorf("%d characters, want at most %d: %q", n, most, got)
		}
		if !strings.Contains(got, words[at]) {
			t.Errorf("the marked word %q is not in %q", words[at], got)
		}
		if core := strings.TrimSuffix(strings.TrimPrefix(got, "… "), " …"); !strings.Contains(text, core) {
			t.Errorf("%q is not a piece of %q", core, text)
		}
	})
}

func TestHit(t *testing.T) {
	long := strings.Repeat("words before it ", 20) + "leaks" + strings.Repeat(" and words after", 20)
	at := strings.Index(long, "leaks")
	for _, tc := range []struct {
		name string
		hit  index.Hit
		want string
	}{
		{"name and phrase", index.Hit{Kind: "symptom", ID: "no-flame", Name: "No flame", Fragments: []index.Fragment{
			{Field: "phrases", Text: "no fire in it", Spans: [][2]int{{0, 2}}}, {Field: "name", Text: "No flame", Spans: [][2]int{{0, 2}}}}},
			"symptom  *No* flame (no-flame)\n         said: *no* fire in it\n"},
		{"name alone", index.Hit{Kind: "part", ID: "pump", Name: "Pump", Fragments: []index.Fragment{{Field: "name", Text: "Pump", Spans: [][2]int{{0, 4}}}}},
			"part     *Pump* (pump)\n"},
		{"no text", index.Hit{Kind: "fix", ID: "pump", Name: "Pump"}, "fix      Pump (pump)\n"},
		{"a long step", index.Hit{Kind: "check", ID: "look", Name: "Look", Fragments: []index.Fragment{{Field: "how", Text: long, Spans: [][2]int{{at, at + 5}}}}},
			"check    Look (look)\n" +
				"         one step: … before it words before it words before it words before it\n" +
				"         *leaks* and words after and words after and words after and …\n"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var out bytes.Buffer
			(&printer{w: &out, width: 80}).hit(&tc.hit)
			if out.String() != tc.want {
				t.Errorf("got:\n%swant:\n%s", out.String(), tc.want)
			}
		})
	}
}

func TestShellWords(t *testing.T) {
	for words, want := range map[string]string{
		"no heat":      "no heat",
		"it's dead":    `'it'\''s dead'`,
		"$HOME":        "'$HOME'",
		"0.85 gph":     "0.85 gph",
		"quits; again": "'quits; again'",
		"über":         "'über'",
		"a\x1b[31mred": "WORDS",
	} {
		if got := shellWords(words); got != want {
			t.Errorf("shellWords(%q) = %s, want %s", words, got, want)
		}
	}
}
