package score

import (
	"sootsayer/kb"
	"sootsayer/ranker"
)

// classes are what a forecast of a family runs over: its causes by the model's
// index, then the unlisted cause.
type classes map[string]int

func newClasses(m *kb.Model) classes {
	c := make(classes, len(m.Causes)+1)
	for i := range m.Causes {
		c[m.Causes[i].ID] = i
	}
	c[kb.Unlisted] = len(m.Causes)
	return c
}

// forecastOf is what a belief says of the classes: the chance that each cause
// started the trouble, and that of the unlisted cause.
func forecastOf(b *ranker.Belief) []float64 {
	causes, unlisted := b.RootChances()
	return append(causes, unlisted)
}
