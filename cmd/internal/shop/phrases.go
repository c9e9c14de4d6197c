package shop

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"sootsayer/index"
	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// Phrase is how often people of the shop took words to mean a symptom, in
// today's ids.
type Phrase struct {
	Phrase  string    `json:"phrase"` // in lower case
	Symptom string    `json:"symptom"`
	Family  string    `json:"family,omitempty"`
	Times   int       `json:"times"` // as it stands, without picks taken back
	Last    time.Time `json:"last"`

	recorded []journal.Phrase // under the ids of their time
}

// Phrases lists the phrases that stand for a symptom, of a family and a symptom
// ("" for all), the most often chosen first.
func (s *Shop) Phrases(family, symptom string) ([]Phrase, error) {
	if s.journal == nil {
		return nil, nil
	}
	recorded, err := s.journal.Phrases()
	if err != nil {
		return nil, err
	}
	by := map[[3]string]*Phrase{}
	for _, r := range recorded {
		p := Phrase{Phrase: r.Phrase, Symptom: s.base.Today("symptoms", r.Symptom), Family: s.base.Today("families", r.Family)}
		if r.Times() == 0 || family != "" && p.Family != family || symptom != "" && p.Symptom != symptom {
			continue
		}
		key := [3]string{p.Family, p.Symptom, p.Phrase}
		if by[key] == nil {
			by[key] = &p
		}
		by[key].Times += r.Times()
		by[key].recorded = append(by[key].recorded, r)
		if r.Last.After(by[key].Last) {
			by[key].Last = r.Last
		}
	}
	var out []Phrase
	for _, p := range by {
		out = append(out, *p)
	}
	slices.SortFunc(out, func(a, b Phrase) int {
		return cmp.Or(b.Times-a.Times, strings.Compare(a.Phrase, b.Phrase), strings.Compare(a.Symptom, b.Symptom), strings.Compare(a.Family, b.Family))
	})
	return out, nil
}

// chosenPhrases are what the search index learns: a phrase and a symptom, with
// how often it was chosen for equipment of any family.
func (s *Shop) chosenPhrases() ([]index.ChosenPhrase, error) {
	phrases, err := s.Phrases("", "")
	if err != nil {
		return nil, err
	}
	at := map[[2]string]int{}
	var out []index.ChosenPhrase
	for _, p := range phrases {
		key := [2]string{p.Phrase, p.Symptom}
		i, there := at[key]
		if !there {
			i = len(out)
			at[key] = i
			out = append(out, index.ChosenPhrase{Text: p.Phrase, Symptom: p.Symptom})
		}
		out[i].Count += p.Times
	}
	return out, nil
}

// ErrSaysLittle is returned for words of which none tells anything.
var ErrSaysLittle = errors.New("say what it does, smells, sounds or looks like")

// ChoosePhrase records that words meant a symptom, on equipment of a family.
func (s *Shop) ChoosePhrase(words, symptom, family string) (Phrase, error) {
	x, err := s.Index()
	if err != nil {
		return Phrase{}, err
	}
	telling := x.Telling(words)
	if err := x.Close(); err != nil {
		return Phrase{}, err
	}
	if !telling {
		return Phrase{}, fmt.Errorf("%q says too little to be learned; %w", words, ErrSaysLittle)
	}
	e := s.phraseEvent(words, symptom, family)
	if _, err := s.journal.Append(e); err != nil {
		return Phrase{}, err
	}
	list, err := s.phrasesWith(words, symptom, family)
	if err != nil || len(list) == 0 {
		return Phrase{}, err
	}
	return list[0], nil
}

func (s *Shop) phraseEvent(words, symptom, family string) journal.Event {
	e := s.journal.NewEvent(journal.KindPhraseChosen, "", s.cfg.By)
	e.Phrase, e.Symptom, e.Family = words, symptom, family
	return e
}

// Teachable tells whether words can be recorded as a phrase: they say something
// and are not too long.
func (s *Shop) Teachable(x *index.Index, words string) bool {
	e := s.phraseEvent(words, "any", "")
	return x.Telling(words) && e.Validate() == nil
}

// phrasesWith lists the phrases with these words that stand.
func (s *Shop) phrasesWith(words, symptom, family string) ([]Phrase, error) {
	list, err := s.Phrases(family, symptom)
	words = strings.Join(strings.Fields(strings.ToLower(words)), " ")
	return slices.DeleteFunc(list, func(p Phrase) bool { return p.Phrase != words }), err
}

// WithdrawPhrase takes back the newest pick of a symptom for words, or all of
// them, and returns how it stands then. Where it is not clear which phrase is
// meant the error says which there are.
func (s *Shop) WithdrawPhrase(words, symptom, family string, all bool) (Phrase, error) {
	list, err := s.phrasesWith(words, symptom, family)
	if err != nil {
		return Phrase{}, err
	}
	switch {
	case len(list) == 0:
		return Phrase{}, s.noPhrase(words, symptom, family)
	case len(list) > 1:
		var of []string
		for _, p := range list {
			of = append(of, cmp.Or(p.Family, "none"))
		}
		return Phrase{}, fmt.Errorf("%q was chosen in several families; name one with --family: %s", words, strings.Join(of, ", "))
	}
	p := list[0]
	slices.SortFunc(p.recorded, func(a, b journal.Phrase) int { return b.Last.Compare(a.Last) })
	var events []journal.Event
	for _, r := range p.recorded {
		for range r.Times() {
			e := s.phraseEvent(r.Phrase, r.Symptom, r.Family)
			e.Withdrawn = true
			events = append(events, e)
		}
	}
	if !all {
		events = events[:1]
	}
	if _, err := s.journal.Append(events...); err != nil {
		return Phrase{}, err
	}
	p.Times -= len(events)
	return p, nil
}

// noPhrase says that a phrase does not stand, and what does.
func (s *Shop) noPhrase(words, symptom, family string) error {
	others, err := s.phrasesWith(words, "", "")
	if err != nil {
		return err
	}
	if len(others) > 0 {
		var meant []string
		for _, p := range others {
			meant = append(meant, strings.TrimSpace(p.Symptom+" "+p.Family))
		}
		return fmt.Errorf("nobody chose %s for %q; it stands for: %s", strings.TrimSpace(symptom+" "+family), words, strings.Join(meant, ", "))
	}
	all, err := s.Phrases("", "")
	if err != nil {
		return err
	}
	var have []string
	for _, p := range all {
		have = append(have, p.Phrase)
	}
	if near, ok := kb.Nearest(strings.ToLower(words), have); ok {
		return fmt.Errorf("no phrase %q; did you mean %q?", words, near)
	}
	return fmt.Errorf("no phrase %q; what there is: sootsayer phrase list", words)
}
