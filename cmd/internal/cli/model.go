package cli

import (
	"fmt"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
)

// modelWords says what the shop knows of a model beyond its family.
func modelWords(s *shop.Shop, family, model string) (string, error) {
	m, err := s.ModelSeen(family, model)
	if err != nil {
		return "", err
	}
	if m.Causes > 0 {
		return fmt.Sprintf("Model %s: %s found on its closed jobs, besides what the whole family shows.", model, counted(m.Causes, "root cause")), nil
	}
	text := fmt.Sprintf("Model %s: no closed job of it yet; what the whole family shows is used.", model)
	others, err := s.Models(family)
	if err != nil {
		return "", err
	}
	var names []string
	for _, o := range others {
		names = append(names, o.Model)
	}
	if near, ok := kb.Nearest(model, names); ok {
		text += fmt.Sprintf(" Did you mean %q?", near)
	}
	return text, nil
}

// tellModel says what is known of a model that a ranking was asked for.
func (a *app) tellModel(s *shop.Shop, family, model string) error {
	if model == "" {
		return nil
	}
	text, err := modelWords(s, family, model)
	switch {
	case err != nil:
		return err
	case a.json:
		a.notice(strings.TrimSpace(text))
	default:
		a.printer().para("", text)
	}
	return nil
}

func completeModels(s *shop.Shop, family, _ string) []string {
	models, err := s.Models(family)
	if err != nil {
		return nil
	}
	var out []string
	for _, m := range models {
		out = append(out, m.Model+"\t"+counted(m.Causes, "root cause"))
	}
	return out
}
