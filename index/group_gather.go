package index

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// Groups returns the groups of the jobs added so far.
func (g *Grouper) Groups() Grouping {
	jobs := slices.Clone(g.unlisted)
	slices.SortStableFunc(jobs, func(a, b jobText) int { return compareIDs(a.id, b.id) })
	p := &pool{grouper: g, names: g.read(jobs), jobs: jobs, all: map[string]int{}}
	for _, j := range jobs {
		for term := range j.terms {
			p.all[term]++
		}
	}
	out := Grouping{Groups: []TextGroup{}, Left: []string{}, Unlisted: len(jobs), Listed: g.nListed}
	taken := map[string]bool{}
	for _, terms := range []func(*jobText) map[string]bool{
		func(j *jobText) map[string]bool { return j.inNotes },
		func(j *jobText) map[string]bool { return j.terms },
	} {
		p.countBy(terms)
		for {
			seed, ok := p.seed()
			if !ok {
				break
			}
			group := p.gather(seed)
			group.ID = unusedName(slug(p.names[seed]), taken)
			out.Groups = append(out.Groups, group)
		}
	}
	for _, j := range p.jobs {
		out.Left = append(out.Left, j.id)
	}
	return out
}

// pool is what is left of the unlisted jobs while groups are taken out.
type pool struct {
	grouper *Grouper
	names   map[string]string              // of terms
	all     map[string]int                 // unlisted jobs by term, those in groups too
	jobs    []jobText                      // in no group yet
	terms   func(*jobText) map[string]bool // those that make groups now
	count   map[string]int                 // jobs in no group yet by such a term
}

// countBy says which terms make groups from now on.
func (p *pool) countBy(terms func(*jobText) map[string]bool) {
	p.terms, p.count = terms, map[string]int{}
	p.tally(p.jobs, 1)
}

// tally adds the terms of jobs to the counts, or takes them off.
func (p *pool) tally(jobs []jobText, sign int) {
	for i := range jobs {
		for term := range p.terms(&jobs[i]) {
			p.count[term] += sign
		}
	}
}

// leastGroup is how many jobs make a group.
const leastGroup = 2

// outstanding tells whether a term stands out among the jobs that are left.
func (p *pool) outstanding(term string) bool {
	n := p.count[term]
	return n >= leastGroup && outstanding(n, len(p.jobs), p.grouper.listed[term], p.grouper.nListed)
}

// seed is the most surprising outstanding term of the jobs; at equal surprise
// the one that more of them hold, then by name.
func (p *pool) seed() (best string, ok bool) {
	most := 0.0
	for term, n := range p.count {
		if !p.outstanding(term) {
			continue
		}
		s := surprise(n, len(p.jobs), p.grouper.listed[term], p.grouper.nListed)
		if !ok || cmp.Or(cmp.Compare(s, most), n-p.count[best], strings.Compare(best, term)) > 0 {
			best, most, ok = term, s, true
		}
	}
	return best, ok
}

// belonging are the terms that go with a seed: outstanding ones that stand
// mostly in jobs that hold it.
func (p *pool) belonging(seed string) map[string]bool {
	with := map[string]int{}
	for i := range p.jobs {
		if terms := p.terms(&p.jobs[i]); terms[seed] {
			for term := range terms {
				with[term]++
			}
		}
	}
	for term, n := range with {
		if n < leastGroup || 2*n < p.count[term] || !p.outstanding(term) {
			delete(with, term)
		}
	}
	terms := map[string]bool{}
	for term := range with {
		terms[term] = true
	}
	return terms
}

// gather takes the group of a seed out of the pool.
func (p *pool) gather(seed string) TextGroup {
	belongs := p.belonging(seed)
	var in, rest []jobText
	for _, j := range p.jobs {
		held := 0
		for term := range belongs {
			if j.terms[term] {
				held++
			}
		}
		if j.terms[seed] || held >= 2 {
			in = append(in, j)
		} else {
			rest = append(rest, j)
		}
	}
	p.jobs = rest
	p.tally(in, -1)
	return p.describe(seed, belongs, in)
}

// describe tells a group with its words, the seed first, then those that most
// jobs hold.
func (p *pool) describe(seed string, belongs map[string]bool, jobs []jobText) TextGroup {
	var group TextGroup
	for _, j := range jobs {
		group.Jobs = append(group.Jobs, j.id)
	}
	terms := slices.Collect(maps.Keys(belongs))
	words := map[string]GroupWord{}
	for _, term := range terms {
		w := GroupWord{Word: p.names[term], Unlisted: p.all[term], Listed: p.grouper.listed[term]}
		w.Surprise = surprise(w.Unlisted, len(p.grouper.unlisted), w.Listed, p.grouper.nListed)
		for _, j := range jobs {
			if j.terms[term] {
				w.Jobs++
			}
		}
		words[term] = w
	}
	slices.SortFunc(terms, func(a, b string) int {
		if a == seed || b == seed {
			return map[bool]int{true: -1, false: 1}[a == seed]
		}
		return cmp.Or(words[b].Jobs-words[a].Jobs, cmp.Compare(words[b].Surprise, words[a].Surprise), strings.Compare(a, b))
	})
	for _, term := range terms {
		group.Words = append(group.Words, words[term])
	}
	return group
}

// slug writes words as an id: letters and digits, parted by "-".
func slug(words string) string {
	parts := strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return !isWordRune(r) || isSign(r) })
	return cmp.Or(strings.Join(parts, "-"), "group")
}

// unusedName returns a name that was not taken, and takes it.
func unusedName(name string, taken map[string]bool) string {
	for taken[name] {
		name += "-too"
	}
	taken[name] = true
	return name
}
