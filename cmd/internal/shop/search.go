package shop

import (
	"path/filepath"

	"sootsayer/index"
)

// Index opens the search index beside the store, with the phrases that people
// of the shop chose symptoms for. The caller closes it.
func (s *Shop) Index() (*index.Index, error) {
	phrases, err := s.chosenPhrases()
	if err != nil {
		return nil, err
	}
	dir := ""
	if s.journal != nil {
		dir = s.indexDir()
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
