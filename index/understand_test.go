package index

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// guesses writes clear symptoms plain and doubtful ones with a question mark.
func guesses(got []Guess) string {
	var out []string
	for _, g := range got {
		s := g.Symptom
		if !g.Clear {
			s += "?"
		}
		out = append(out, s)
	}
	return strings.Join(out, " ")
}

func TestUnderstand(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	for _, c := range []struct{ name, text, want string }{
		{"phrase", "no heat", "no-warmth"},
		{"other words for it", "furnace is not heating", "no-warmth"},
		{"typing errors", "bruner wont strat", "never-starts"},
		{"half typed", "chimney smok", "smokes"},
		{"as one word", "nostart", "never-starts"},
		{"two symptoms", "no heat and smells like oil", "no-warmth oil-odor"},
		{"two symptoms, comma", "oil on the floor, squealing pump", "oil-drips squeals"},
		{"two symptoms, plus", "chimney smokes + fan does not run", "fan-still smokes"},
		{"a phrase over two clauses", "starts, then quits after 15 sec", "quits-soon"},
		{"reading", "red lamp blinks 3 times, 2400 ohms, 12 v", "red-lamp"},
		{"no smoke is not smoke", "no smoke", ""},
		{"nor is no smoke from the chimney", "no smoke from the chimney at all", ""},
		{"no smoke or smell", "no smoke or smell", ""},
		{"no between other words", "no visible black smoke outside", "smokes?"},
		{"a no that has its word", "no heat black smoke outside", "smokes no-warmth?"},
		{"without", "burns without smoke", ""},
		{"a no that ends", "no smoke but it smells of oil", "oil-odor"},
		{"negation in a phrase", "fan does not run", "fan-still"},
		{"negation of it", "the burner starts", ""},
		{"nothing to understand", "please come and look", ""},
		{"nothing", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if d := cmp.Diff(c.want, guesses(x.Understand(c.text, "shop-heater"))); d != "" {
				t.Errorf("%q: %s\n%+v", c.text, d, x.Understand(c.text, "shop-heater"))
			}
		})
	}
}

func TestUnderstandSays(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	got := x.Understand("Customer says: burner won't start, SMELLS of fuel!", "")
	want := []Guess{
		{Symptom: "never-starts", Score: 1, Clear: true, Phrase: "burner won't start", Said: "burner won't start"},
		{Symptom: "oil-odor", Score: 1, Clear: true, Phrase: "smells like oil", Said: "SMELLS of fuel"},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestUnderstandFamily(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	if got := guesses(x.Understand("preheat block is cold", "house-furnace")); got != "" {
		t.Errorf("a symptom of another family was understood: %s", got)
	}
	if got := guesses(x.Understand("preheat block is cold", "shop-heater")); got != "cold-block" {
		t.Errorf("understood %q", got)
	}
}

func TestLearnedPhrases(t *testing.T) {
	const said = "makes a sad trombone sound"
	for _, c := range []struct {
		name    string
		phrases []ChosenPhrase
		text    string
		want    string
	}{
		{"nothing learned", nil, said, ""},
		{"chosen once", []ChosenPhrase{{said, "squeals", 1}}, said, "squeals"},
		{"other form of it", []ChosenPhrase{{said, "squeals", 1}}, "sound of sad trombones", "squeals"},
		{"chosen never", []ChosenPhrase{{said, "squeals", 0}}, said, ""},
		{"symptom that is gone", []ChosenPhrase{{said, "gone", 9}}, said, ""},
		{"two symptoms alike", []ChosenPhrase{{said, "squeals", 3}, {said, "smokes", 3}}, said, "smokes? squeals?"},
		{"one far more often", []ChosenPhrase{{said, "squeals", 50}, {said, "smokes", 1}}, said, "squeals"},
		{"base against one choice", []ChosenPhrase{{"no heat", "fan-still", 1}}, "no heat", "no-warmth fan-still?"},
		{"base against many", []ChosenPhrase{{"no heat", "fan-still", 40}}, "no heat", "fan-still no-warmth?"},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := openMemory(t, testBase(), Options{Phrases: c.phrases})
			if d := cmp.Diff(c.want, guesses(x.Understand(c.text, "house-furnace"))); d != "" {
				t.Errorf("%s\n%+v", d, x.Understand(c.text, "house-furnace"))
			}
		})
	}
}

// TestLearnedWeightGrows wants a phrase to count the more the oftener it was
// chosen, and a search to find the symptom by it.
func TestLearnedWeightGrows(t *testing.T) {
	last := 0.0
	for _, count := range []int{1, 2, 4, 8, 16} {
		x := openMemory(t, testBase(), Options{Phrases: []ChosenPhrase{{"gurgle", "squeals", count}}})
		hits := found(t, x, Query{Text: "gurgle"})
		if len(hits) != 1 || hits[0] != "symptom/squeals" {
			t.Fatalf("chosen %d times, found %v", count, hits)
		}
		if hits := found(t, x, Query{Text: "gurgling noises here"}); len(hits) == 0 || hits[0] != "symptom/squeals" {
			t.Fatalf("chosen %d times, found %v by one of several words", count, hits)
		}
		m := x.phraseMatcher()
		fits := m.match(x.analyzer.ask("gurgle", x.content.vocabulary), "")
		if len(fits) != 1 || fits[0].score <= last {
			t.Fatalf("chosen %d times it scores %v, before %g", count, fits, last)
		}
		last = fits[0].score
	}
}

// TestUnderstandLaws holds for every text.
func TestUnderstandLaws(t *testing.T) {
	x := openMemory(t, shippedBase(t), Options{})
	rapid.Check(t, func(t *rapid.T) {
		text := anyText().Draw(t, "text")
		got := x.Understand(text, "oil-furnace")
		if err := guessLaws(text, got); err != nil {
			t.Fatalf("Understand(%q): %v", text, err)
		}
	})
}

// guessLaws says what is wrong with the guesses of any text.
func guessLaws(text string, got []Guess) error {
	seen := map[string]bool{}
	for i, g := range got {
		switch {
		case g.Score < doubtScore || g.Score > 1:
			return fmt.Errorf("score %g", g.Score)
		case seen[g.Symptom]:
			return fmt.Errorf("%s twice", g.Symptom)
		case i > 0 && g.Clear && !got[i-1].Clear:
			return fmt.Errorf("clear after doubtful")
		case i > 0 && g.Clear == got[i-1].Clear && g.Score > got[i-1].Score:
			return fmt.Errorf("not by score")
		case !strings.Contains(text, g.Said) || g.Said == "" || g.Phrase == "":
			return fmt.Errorf("said %q for phrase %q", g.Said, g.Phrase)
		}
		seen[g.Symptom] = true
	}
	if len(got) > mostSymptoms {
		return fmt.Errorf("%d guesses", len(got))
	}
	return nil
}
