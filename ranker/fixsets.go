package ranker

// FixSet is an answer to what still has to be done: fixes, by index of the
// model, and the chance that it is just these. None of them stands for what is
// not listed, which no fix of the base cures.
type FixSet struct {
	Fixes       []int
	Probability float64
}

// FixSets lists what may still have to be done on the job, with chances that
// sum to 1: Y of the contract's section 5. What is not listed comes first; sets
// that cannot be are left out.
func (b *Belief) FixSets() []FixSet {
	g := &b.engine.groups
	chance := make([]float64, len(g.fixes))
	for s, p := range b.post {
		chance[g.of[s]] += p
	}
	var list []FixSet
	for i, p := range chance {
		if p <= 0 {
			continue
		}
		set := FixSet{Fixes: make([]int, len(g.fixes[i])), Probability: p}
		for k, f := range g.fixes[i] {
			set.Fixes[k] = int(f)
		}
		list = append(list, set)
	}
	return list
}
