package shop

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb/journal"
)

// TestPhraseIsFound: a phrase unknown at first is understood after one pick, and
// unknown again when that is taken back.
func TestPhraseIsFound(t *testing.T) {
	s := nestShop(t)
	understood := func() string {
		t.Helper()
		guesses, err := s.Understand("a sad trombone again", "shop-heater")
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, g := range guesses {
			out = append(out, fmt.Sprint(g.Symptom, g.Clear))
		}
		return strings.Join(out, " ")
	}
	if got := understood(); got != "" {
		t.Fatalf("at first: %s", got)
	}
	if _, err := s.OpenJob(Complaint{Words: "Sad  TROMBONE", Family: "shop-heater", Chosen: []string{"no-flame"}}); err != nil {
		t.Fatal(err)
	}
	if got := understood(); got != "no-flametrue" {
		t.Errorf("after a pick: %s", got)
	}
	if p, err := s.WithdrawPhrase("sad trombone", "no-flame", "", false); err != nil || p.Times != 0 {
		t.Errorf("withdrawn: %+v, %v", p, err)
	}
	if got := understood(); got != "" {
		t.Errorf("after it was taken back: %s", got)
	}
}

// TestPhrasesLikePlainCounts chooses and withdraws at random and compares with
// plain counting.
func TestPhrasesLikePlainCounts(t *testing.T) {
	s := nestShop(t)
	plain := map[[3]string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.SampledFrom([]string{"sad trombone", "gurgles", "wet dog"}).Draw(rt, "words")
		symptom := rapid.SampledFrom([]string{"no-flame", "dead"}).Draw(rt, "symptom")
		family := rapid.SampledFrom([]string{"shop-heater", "house-heater"}).Draw(rt, "family")
		key := [3]string{family, symptom, words}
		if rapid.Bool().Draw(rt, "choose") {
			plain[key]++
			if p, err := s.ChoosePhrase(strings.ToUpper(words), symptom, family); err != nil || p.Times != plain[key] {
				rt.Errorf("chosen: %+v, %v; want %d times", p, err, plain[key])
			}
			return
		}
		all := rapid.Bool().Draw(rt, "all")
		p, err := s.WithdrawPhrase(words, symptom, family, all)
		switch {
		case plain[key] == 0:
			if err == nil {
				rt.Errorf("withdrew what does not stand: %+v", p)
			}
			return
		case all:
			plain[key] = 0
		default:
			plain[key]--
		}
		if err != nil || p.Times != plain[key] {
			rt.Errorf("withdrawn: %+v, %v; want %d times left", p, err, plain[key])
		}
	})
	list, err := s.Phrases("", "")
	if err != nil {
		t.Fatal(err)
	}
	stands := 0
	for _, p := range list {
		if want := plain[[3]string{p.Family, p.Symptom, p.Phrase}]; p.Times != want {
			t.Errorf("%+v, want %d times", p, want)
		}
	}
	for _, n := range plain {
		if n > 0 {
			stands++
		}
	}
	if len(list) != stands {
		t.Errorf("%d phrases listed, want %d", len(list), stands)
	}
}

// TestPhraseCountsAddUpOverFamilies: words chosen on one kind of equipment count
// on another.
func TestPhraseCountsAddUpOverFamilies(t *testing.T) {
	s := nestShop(t)
	for _, family := range []string{"shop-heater", "house-heater", "house-heater"} {
		if _, err := s.ChoosePhrase("gurgles", "no-flame", family); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.chosenPhrases()
	if err != nil || len(got) != 1 || got[0].Count != 3 {
		t.Errorf("%+v, %v; want one phrase chosen 3 times", got, err)
	}
}

// TestPhraseOfLongWords: a complaint that is too long for a phrase is no reason
// not to open a job.
func TestPhraseOfLongWords(t *testing.T) {
	s := nestShop(t)
	x, err := s.Index()
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	for words, want := range map[string]bool{"gurgles": true, "the customer called": false, strings.Repeat("gurgles and ", 200): false, "": false} {
		if got := s.Teachable(x, words); got != want {
			t.Errorf("Teachable(%.40q) = %v", words, got)
		}
	}
	if e := s.phraseEvent("gurgles", "no-flame", ""); e.Kind != journal.KindPhraseChosen || e.Validate() != nil {
		t.Errorf("%+v: %v", e, e.Validate())
	}
}
