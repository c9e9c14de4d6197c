package shop

import (
	"path/filepath"

	"sootsayer/index"
)

// Index opens the search index beside the store, with the phrases that people
// of the shop chose symptoms for. The caller closes it.
func (s *Shop) Index() (*index.Index, error) {
	var phrases []index.ChosenPhrase
	dir := ""
	if s.journal != nil {
		dir = s.indexDir()
		chosen, err := s.journal.Phrases()
		if err != nil {
			return nil, err
		}
		for _, p := range chosen {
			if n := p.Times(); n > 0 {
				phrases = append(phrases, index.ChosenPhrase{Text: p.Phrase, Symptom: s.base.Today("symptoms", p.Symptom), Count: n})
			}
		}
	}
	return index.Open(dir, s.base, index.Options{Phrases: phrases, Log: s.cfg.Notice, Now: s.cfg.Now})
}

func (s *Shop) indexDir() string { return filepath.Join(s.cfg.Store, "index") }

// Understand returns the symptoms of a family that a complaint may mean.
func (s *Shop) Understand(words, family string) ([]index.Guess, error) {
	x, err := s.Index()
	if err != nil {
		return nil, err
	}
	defer x.Close()
	return x.Understand(words, family), nil
}
