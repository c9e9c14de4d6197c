package cli

import (
	"strings"

	"sootsayer/kb"
)

// cautionsOf lists the cautions that must stand wherever an entry is shown: its
// own, those of the states it needs, of its proof, and of its equipment.
func cautionsOf(b *kb.Base, list, id string) []string {
	var out []string
	needs := func(state map[string]string) {
		for i := range b.States {
			if text := b.States[i].Cautions[state[b.States[i].ID]]; text != "" {
				out = append(out, text)
			}
		}
	}
	families := func(ids []string) {
		for _, f := range ids {
			x, _ := b.Family(f)
			out = append(out, x.Cautions...)
		}
	}
	switch list {
	case "families":
		families([]string{id})
	case "symptoms":
		x, _ := b.Symptom(id)
		out = append(out, x.Cautions...)
	case "checks":
		x, _ := b.Check(id)
		out = append(out, x.Cautions...)
		needs(x.State)
		families(x.Families)
	case "fixes":
		x, _ := b.Fix(id)
		out = append(out, x.Cautions...)
		needs(x.State)
		if proof, ok := b.Check(x.Proof); ok {
			out = append(out, proof.Cautions...)
		}
		for i := range b.Causes {
			if b.Causes[i].Fix != id {
				continue
			}
			for f := range b.Causes[i].Share {
				families([]string{f})
			}
		}
	case "holds":
		x, _ := b.Hold(id)
		out = append(append(out, x.Cautions...), x.Says)
	case "states":
		x, _ := b.State(id)
		for _, text := range x.Cautions {
			out = append(out, text)
		}
	}
	for i := range out {
		out[i] = strings.Join(strings.Fields(out[i]), " ")
	}
	return out
}
