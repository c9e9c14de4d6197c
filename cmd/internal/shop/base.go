package shop

import (
	"fmt"
	"os"
	"strings"

	"sootsayer/data"
	"sootsayer/kb"
)

// loadBase reads the shipped base, or the folder named; a base with errors is
// refused with all of them.
func (s *Shop) loadBase() error {
	if s.cfg.Base == "" {
		b, err := data.Base()
		if err != nil {
			return err
		}
		s.base = b
		s.digest, err = data.Digest(data.Files())
		return err
	}
	b, problems, err := ReadBase(s.cfg.Base)
	if err != nil {
		return err
	}
	if errs := problems.Errors(); len(errs) > 0 {
		return fmt.Errorf("the base in %s has mistakes:\n%w", s.cfg.Base, errs)
	}
	s.base = b
	s.digest, err = data.Digest(os.DirFS(s.cfg.Base))
	return err
}

// ReadBase loads and lints the base in a folder and returns all problems.
func ReadBase(dir string) (*kb.Base, kb.Problems, error) {
	if _, err := os.ReadDir(dir); err != nil {
		return nil, nil, fmt.Errorf("the base cannot be read: %w; name the folder of its *.yaml files with --base", err)
	}
	b, problems := kb.Load(os.DirFS(dir))
	if len(problems.Errors()) == 0 {
		problems = append(problems, b.Lint()...).InOrder()
	}
	return b, problems, nil
}

// Families returns the ids of the base's families.
func (s *Shop) Families() []string { return s.base.IDs("families") }

// Family returns the family named, or the only one there is.
func (s *Shop) Family(id string) (string, error) { return FamilyOf(s.base, id) }

// FamilyOf is Family for a base alone.
func FamilyOf(b *kb.Base, id string) (string, error) {
	have := b.IDs("families")
	if id == "" {
		if len(have) == 1 {
			return have[0], nil
		}
		return "", fmt.Errorf("which kind of equipment? add --family with one of: %s", strings.Join(have, ", "))
	}
	if _, ok := b.Family(id); !ok {
		return "", kb.UnknownID("family", id, have)
	}
	return id, nil
}
