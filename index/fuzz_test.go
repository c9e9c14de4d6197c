package index

import (
	"context"
	"strings"
	"testing"
	"unicode/utf8"
)

func FuzzSearch(f *testing.F) {
	for _, s := range analyzerInputs {
		f.Add(s)
	}
	x := openMemory(f, testBase(), Options{})
	f.Fuzz(func(t *testing.T, text string) {
		hits, err := x.Search(context.Background(), Query{Text: text})
		if err != nil {
			t.Fatal(err)
		}
		for i, h := range hits {
			if h.Score <= 0 || i > 0 && h.Score > hits[i-1].Score {
				t.Fatalf("%q: hit %d scores %g", text, i, h.Score)
			}
			for _, fr := range h.Fragments {
				at := 0
				for _, s := range fr.Spans {
					if s[0] < at || s[1] <= s[0] || s[1] > len(fr.Text) {
						t.Fatalf("%q: spans %v of %q", text, fr.Spans, fr.Text)
					}
					at = s[1]
				}
			}
		}
	})
}

func FuzzUnderstand(f *testing.F) {
	for _, s := range analyzerInputs {
		f.Add(s)
	}
	x := openMemory(f, testBase(), Options{})
	f.Fuzz(func(t *testing.T, text string) {
		if err := guessLaws(text, x.Understand(text, "")); err != nil {
			t.Fatalf("Understand(%q): %v", text, err)
		}
	})
}

// FuzzJobs closes a job with any text and looks for it by that text.
func FuzzJobs(f *testing.F) {
	for _, s := range analyzerInputs {
		f.Add(s, s)
	}
	f.Add("no heat", strings.Repeat("x", 3000))
	b := testBase()
	x := openMemory(f, b, Options{})
	f.Fuzz(func(t *testing.T, text, asked string) {
		s := newFakeJobs("fuzz")
		s.close(PastJob{ID: "1", Complaint: text, Notes: []string{asked}, Causes: []string{text}, Family: text, Model: asked})
		jobs, err := x.OpenJobs(t.TempDir(), b, s, JobOptions{Log: func(s string) { t.Error(s) }})
		if err != nil {
			t.Fatal(err)
		}
		defer jobs.Close()
		hits, err := jobs.Search(context.Background(), Query{Text: asked})
		if err != nil {
			t.Fatal(err)
		}
		if said := x.analyzer.read(asked).terms(); len(said) > 0 && len(hits) == 0 && len(asked) < maxTextBytes && utf8.ValidString(asked) {
			for _, w := range queryWords(x.analyzer.ask(asked, jobs.vocabulary)) {
				if !w.light {
					t.Errorf("%q is not found by its own words", asked)
					break
				}
			}
		}
	})
}
