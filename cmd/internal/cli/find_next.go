package cli

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
)

// findNext says what to type next: for the best symptom how to go on from it,
// for the best of the others how to read it whole.
func findNext(p *printer, s *shop.Shop, words, family string, hits []index.Hit) {
	isSymptom := func(h index.Hit) bool { return h.Kind == index.KindSymptom }
	if i := slices.IndexFunc(hits, isSymptom); i >= 0 {
		if x, ok := s.Base().Symptom(hits[i].ID); ok {
			symptomNext(p, s, words, family, x)
		}
	}
	if i := slices.IndexFunc(hits, func(h index.Hit) bool { return !isSymptom(h) }); i >= 0 {
		p.para("Read it whole: ", "sootsayer base show "+hits[i].ID)
	}
	if slices.ContainsFunc(hits, func(h index.Hit) bool { return h.Kind == index.KindCheck || h.Kind == index.KindFix }) {
		p.para("", "What stands here of checks and fixes is cut out of them. Before you do one, read it whole, with its cautions.")
	}
}

// symptomNext says how to go on from a symptom: on the job at hand, with a new
// one, or without any.
func symptomNext(p *printer, s *shop.Shop, words, family string, x *kb.Symptom) {
	if j, err := s.CurrentJob(); err == nil && kb.In(x.Families, j.Family) {
		p.para("On job "+j.ID+": ", fmt.Sprintf("sootsayer job record %s %s=yes", j.ID, x.ID))
	}
	choose := ""
	switch {
	case family != "":
	case len(x.Families) == 1:
		family = x.Families[0]
	default:
		family, choose = "FAMILY", strings.Join(x.Families, " or ")
	}
	p.para("New job: ", fmt.Sprintf("sootsayer job open %s --family %s", shellWords(words), family))
	p.para("Likely causes: ", fmt.Sprintf("sootsayer rank --family %s --symptom %s", family, x.ID))
	if choose != "" {
		p.para("  FAMILY is ", choose)
	}
}

// shellWords writes words so that a shell takes them as they are; in the place
// of words that cannot be printed stands WORDS.
func shellWords(words string) string {
	if strings.ContainsFunc(words, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return "WORDS"
	}
	for _, r := range words {
		if !strings.ContainsRune(" ,.:/%+=@_-", r) && !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9') {
			return "'" + strings.ReplaceAll(words, "'", `'\''`) + "'"
		}
	}
	return words
}
