package cli

import (
	"bufio"
	"context"
	"fmt"
	"strconv"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
)

// pickFromStated takes a symptom that was stated as what the words of the
// complaint mean: one that they may mean as it is, or the only one stated where
// nothing is understood of them.
func pickFromStated(c *shop.Complaint, guesses []index.Guess) {
	var yes []string
	for i := range c.Symptoms {
		if c.Symptoms[i].Outcome == kb.Yes {
			yes = append(yes, c.Symptoms[i].ID)
		}
	}
	for _, g := range guesses {
		for _, id := range yes {
			if g.Symptom == id && !g.Clear {
				c.Chosen = append(c.Chosen, id)
			}
		}
	}
	if len(guesses) == 0 && len(yes) == 1 {
		c.Chosen = yes
	}
}

// mostPicks is how many symptoms are offered to pick from.
const mostPicks = 6

// pickByWords asks, when nothing is understood of a complaint, for other words
// and lets the person pick one of the symptoms that these find.
func (a *app) pickByWords(ctx context.Context, s *shop.Shop, in *bufio.Scanner, c *shop.Complaint) error {
	x, err := s.Index()
	if err != nil {
		return err
	}
	defer x.Close()
	p := a.printer()
	p.para("", "These words are not known yet. What is it, in other words? They find the symptom, and what you pick is remembered for the customer's words.")
	for {
		fmt.Fprint(a.env.Out, "  other words, or Enter to go on without: ")
		text, there, err := nextLine(ctx, in)
		if err != nil || !there || strings.TrimSpace(text) == "" {
			return err
		}
		hits, err := x.Search(ctx, index.Query{Text: text, Family: c.Family, Kinds: []string{index.KindSymptom}, Limit: mostPicks})
		if err != nil {
			return err
		}
		if len(hits) == 0 {
			p.line("  Nothing found for these words.")
			continue
		}
		for i, h := range hits {
			p.para(fmt.Sprintf("  %d  ", i+1), h.Name)
		}
		fmt.Fprintf(a.env.Out, "  1 to %d, or Enter for none of them: ", len(hits))
		if text, there, err = nextLine(ctx, in); err != nil || !there {
			return err
		}
		if n, err := strconv.Atoi(strings.TrimSpace(text)); err == nil && n >= 1 && n <= len(hits) {
			c.Symptoms = append(c.Symptoms, symptom(hits[n-1].ID, kb.Yes))
			c.Chosen = append(c.Chosen, hits[n-1].ID)
			return nil
		}
	}
}

// teachable drops the picks when the words cannot be learned: they say nothing,
// or are too long.
func teachable(s *shop.Shop, c *shop.Complaint) error {
	if len(c.Chosen) == 0 {
		return nil
	}
	x, err := s.Index()
	if err != nil {
		return err
	}
	if !s.Teachable(x, c.Words) {
		c.Chosen = nil
	}
	return x.Close()
}
