package index

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// found lists kind/id of the hits of a query.
func found(t testing.TB, x *Index, q Query) []string {
	t.Helper()
	hits, err := x.Search(context.Background(), q)
	if err != nil {
		t.Fatalf("Search(%+v): %v", q, err)
	}
	out := []string{}
	for _, h := range hits {
		out = append(out, h.Kind+"/"+h.ID)
	}
	return out
}

func TestSearchFirst(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	for _, c := range []struct{ name, text, want string }{
		{"phrase", "no heat", "symptom/no-warmth"},
		{"other form", "squealed", "symptom/squeals"},
		{"synonym of two words", "cad cell dirty", "cause/eye-dirty"},
		{"synonym of a step", "cad cell resistance", "check/eye-ohms"},
		{"typing error", "nozle pluged", "cause/nozzle-plugged"},
		{"two typing errors", "themrostta bridge", "check/bridge-terminals"},
		{"swapped letters", "chminey smoke", "symptom/smokes"},
		{"half-typed last word", "black smo", "symptom/smokes"},
		{"two words as one", "nostart", "symptom/never-starts"},
		{"code", "5W-30", "cause/nozzle-plugged"},
		{"single letters", "t-t", "check/bridge-terminals"},
		{"id", "nozzle-065", "part/nozzle-065"},
		{"size", "0.65 nozzle", "part/nozzle-065"},
		{"reading", "resistance of eye 2400 ohms", "check/eye-ohms"},
		{"light pattern", "red light blinks 3 times", "symptom/red-lamp"},
		{"seconds", "quits after 15 sec", "symptom/quits-soon"},
		{"what a hold says", "restarts", "check/chamber-look"},
		{"off is not on", "fan won't shut off", "symptom/fan-always"},
		{"not running is not running", "fan not running", "symptom/fan-still"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := found(t, x, Query{Text: c.text})
			if len(got) == 0 || got[0] != c.want {
				t.Errorf("%q found %v, want %s first", c.text, got, c.want)
			}
		})
	}
}

func TestSearchFilters(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	for _, c := range []struct {
		name string
		q    Query
		want []string
	}{
		{"kind", Query{Text: "nozzle", Kinds: []string{KindPart}}, []string{"part/nozzle-050", "part/nozzle-065"}},
		{"two kinds", Query{Text: "nozzle", Kinds: []string{KindFix, KindCause}}, []string{"cause/nozzle-plugged", "fix/replace-nozzle"}},
		{"limit", Query{Text: "nozzle", Kinds: []string{KindPart}, Limit: 1}, []string{"part/nozzle-050"}},
		{"symptom's family", Query{Text: "preheat block", Family: "house-furnace"}, []string{}},
		{"cause without share, its fix and its part", Query{Text: "nozzle", Family: "house-furnace"}, []string{"part/nozzle-065"}},
		{"kind that is not there", Query{Text: "nozzle", Kinds: []string{"tool"}}, []string{}},
		{"no words", Query{Text: " ,. the "}, []string{}},
		{"unknown word", Query{Text: "xyzzyplugh"}, []string{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := found(t, x, c.q)
			if d := cmp.Diff(c.want, got, cmpopts.SortSlices(strings.Compare)); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestSearchLimits(t *testing.T) {
	b := &kb.Base{}
	for i := range 50 {
		b.Parts = append(b.Parts, kb.Part{ID: "belt-" + string(rune('a'+i/26)) + string(rune('a'+i%26)), Name: "Belt"})
	}
	b.Reindex()
	x := openMemory(t, b, Options{})
	for limit, want := range map[int]int{0: 20, 7: 7, 100: 50, -1: 50} {
		got := found(t, x, Query{Text: "belt", Limit: limit})
		if len(got) != want || !slices.IsSorted(got) {
			t.Errorf("limit %d gave %d hits, want %d by id: %v", limit, len(got), want, got)
		}
	}
}

func TestFragments(t *testing.T) {
	x := openMemory(t, testBase(), Options{Phrases: []ChosenPhrase{{"burning rubber stink", "squeals", 9}}})
	marked := func(h Hit) []string {
		var out []string
		for _, f := range h.Fragments {
			text, at := f.Field+": ", 0
			for _, s := range f.Spans {
				text += f.Text[at:s[0]] + "<" + f.Text[s[0]:s[1]] + ">"
				at = s[1]
			}
			out = append(out, text+f.Text[at:])
		}
		return out
	}
	for _, c := range []struct {
		text string
		want []string
	}{
		{"cad cells ohms", []string{"how: Measure its <ohms> in bright light.", "outcome: up to 1600 <ohm>", "unit: <ohm>"}},
		{"won't start", []string{"name: Burner does <not> <start>", "phrases: burner <won't> <start>", "phrases: <no>-<start>"}},
		{"chimny", []string{"name: Smoke from the <chimney>", "phrases: <chimney> smokes"}},
		{"rubber burning", []string{"learned: <burning> <rubber> stink"}},
	} {
		hits, err := x.Search(context.Background(), Query{Text: c.text, Limit: 1})
		if err != nil || len(hits) != 1 {
			t.Fatalf("%q: %d hits, %v", c.text, len(hits), err)
		}
		if d := cmp.Diff(c.want, marked(hits[0])); d != "" {
			t.Errorf("%q: %s", c.text, d)
		}
	}
}

// TestSearchOrder asks two indexes of the same entries in another order, one in
// memory and one on disk, and wants the same answers.
func TestSearchOrder(t *testing.T) {
	one, other := shippedBase(t), shippedBase(t)
	r := rand.New(rand.NewPCG(7, 11))
	shuffle(r, other.Symptoms)
	shuffle(r, other.Causes)
	shuffle(r, other.Checks)
	shuffle(r, other.Fixes)
	shuffle(r, other.Parts)
	other.Reindex()
	x := openMemory(t, one, Options{})
	y, err := Open(t.TempDir()+"/index", other, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer y.Close()
	if y.InMemory() {
		t.Fatal("the second index is not on disk")
	}
	for _, c := range readComplaints(t) {
		q := Query{Text: c.text, Limit: 60}
		hits, err := x.Search(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		again, err := y.Search(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		// Fragments of equal weight go by base order, so they may differ.
		if d := cmp.Diff(hits, again, cmpopts.IgnoreFields(Hit{}, "Fragments")); d != "" {
			t.Fatalf("%q: %s", c.text, d)
		}
		ignore := cmpopts.IgnoreFields(Guess{}, "Phrase", "Said")
		if d := cmp.Diff(x.Understand(c.text, ""), y.Understand(c.text, ""), ignore, cmpopts.EquateApprox(0, 1e-9)); d != "" {
			t.Fatalf("Understand(%q): %s", c.text, d)
		}
	}
}

func shuffle[T any](r *rand.Rand, list []T) {
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

// plainScores computes the scores by the formula in score.go from the texts
// themselves, without an index.
func plainScores(x *Index, words []queryWord) []float64 {
	type holding map[string]map[string]float64 // field -> term -> times
	texts := make([]holding, len(x.entries))
	for i := range x.entries {
		texts[i] = holding{}
		for field, terms := range x.analyzer.document(&x.entries[i]) {
			texts[i][field] = map[string]float64{}
			for _, term := range strings.Fields(terms.(string)) {
				texts[i][field][term]++
			}
		}
	}
	f := func(i int, term string, light bool) float64 {
		sum := 0.0
		for _, role := range entryRoles {
			if light && role.name == fieldBody {
				continue
			}
			length := 0.0
			for _, n := range texts[i][role.name] {
				length += n
			}
			sum += role.boost * math.Sqrt(texts[i][role.name][term]) / (1 - scoreB + scoreB*length/role.usual)
		}
		return sum
	}
	total, seen, all := make([]float64, len(texts)), make([]float64, len(texts)), 0.0
	for _, w := range words {
		best, anywhere := make([]float64, len(texts)), false
		for _, term := range w.terms {
			n := 0.0
			for i := range texts {
				if f(i, term.text, w.light) > 0 {
					n++
				}
			}
			idf := math.Log(1 + (float64(len(texts))-n+0.5)/(n+0.5))
			for i := range texts {
				anywhere = anywhere || f(i, term.text, w.light) > 0
				best[i] = max(best[i], term.quality*idf*f(i, term.text, w.light)/(scoreK+f(i, term.text, w.light)))
			}
		}
		for i := range texts {
			total[i] += w.weight * best[i]
			if best[i] > 0 {
				seen[i] += w.weight
			}
		}
		if anywhere {
			all += w.weight
		}
	}
	for i := range total {
		if all > 0 {
			total[i] *= 1 - missingPenalty*(1-seen[i]/all)
		}
	}
	return total
}

func TestScoresAgainstPlainModel(t *testing.T) {
	x := openMemory(t, testBase(), Options{})
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{
			"no", "heat", "burner", "start", "oil", "fuel", "smoke", "cad", "cell", "nozzle", "0.65", "gph", "nozzle-065", "fan", "runz", "look", "blok", ",", "or",
		}), 1, 6).Draw(t, "words"), " ")
		words := queryWords(x.analyzer.ask(text, x.content.vocabulary))
		scores, err := newScorer(x.reader, entryRoles, len(x.entries), false).score(context.Background(), words)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range plainScores(x, words) {
			if got := scores[x.content.documentOf[i]]; math.Abs(got-want) > 1e-5 {
				t.Fatalf("%q: %s scores %g, the plain model %g", text, x.entries[i].docID(), got, want)
			}
		}
	})
}

func TestSearchStopped(t *testing.T) {
	x, err := Open("", testBase(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := x.Search(stopped, Query{Text: "oil"}); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled search gave %v", err)
	}
	for range 2 {
		if err := x.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	}
	if _, err := x.Search(context.Background(), Query{Text: "oil"}); !errors.Is(err, ErrClosed) {
		t.Errorf("a search after Close gave %v", err)
	}
	if got := x.Understand("no heat", ""); got != nil {
		t.Errorf("Understand after Close gave %v", got)
	}
}
