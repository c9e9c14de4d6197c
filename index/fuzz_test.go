package index

import (
	"context"
	"testing"
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
