package stock

import (
	"math"
	"slices"

	"sootsayer/kb"
)

// CoUse tells which parts each fix takes together. It begins with what the base
// says: each part on its own by its chance, and at most one of those that are
// alternatives of each other (one_of), worth table_strength times that the fix
// was done. Closed jobs that state what was used move it: the sets that they
// used have a Dirichlet posterior, so that parts which go together in this shop
// are known to.
//
// A job is counted by the fixes that it took since the closing before. A part is
// laid to the fix that lists it; where several do, to the one that takes it most
// often; where none does, to the only fix that was done, else to none.
type CoUse struct {
	base  *kb.Base
	part  map[string]int
	seen  map[[2]string]*setsSeen // by family and fix
	start map[[2]string][]PartSet
}

// setsSeen are the sets of parts that closed jobs used for a fix.
type setsSeen struct {
	sets  *collected
	times float64
}

// NewCoUse returns what the base says. Parts gives every part of the base that
// is ordered today its index.
func NewCoUse(b *kb.Base, parts []string) *CoUse {
	c := &CoUse{base: b, part: make(map[string]int, len(parts)), seen: make(map[[2]string]*setsSeen), start: make(map[[2]string][]PartSet)}
	for i, id := range parts {
		c.part[id] = i
	}
	return c
}

// Add counts what a job used, each closing with what it states; a job weighs by
// its age alone, for it was seen however sure the cause. It must be in today's
// ids.
func (c *CoUse) Add(job *kb.Job, weight float64) {
	if _, known := c.base.Family(job.Family); !known || !(weight > 0) {
		return
	}
	for i := 0; i <= len(job.Past); i++ {
		closing := job.Closing
		if i < len(job.Past) {
			closing = &job.Past[i]
		}
		if closing != nil && closing.Used != nil {
			c.addUsed(job.Family, c.fixesDone(job, i, closing), closing.Used, weight)
		}
	}
}

// fixesDone are the fixes tried since the closing before and those done at it.
func (c *CoUse) fixesDone(job *kb.Job, i int, closing *kb.Closing) []*kb.Fix {
	var done []*kb.Fix
	add := func(id string) {
		if f, ok := c.base.Fix(id); ok && !slices.Contains(done, f) {
			done = append(done, f)
		}
	}
	for k := range job.Acts {
		a := &job.Acts[k]
		before := i > 0 && !a.At.After(job.Past[i-1].At)
		after := i < len(job.Past) && a.At.After(closing.At)
		if a.Tried != "" && !before && !after {
			add(a.Tried)
		}
	}
	for _, id := range closing.Fixes {
		add(id)
	}
	if len(closing.Fixes) == 0 {
		for _, id := range closing.Causes {
			if cause, ok := c.base.Cause(id); ok {
				add(cause.Fix)
			}
		}
	}
	return done
}

func (c *CoUse) addUsed(family string, done []*kb.Fix, used map[string]float64, weight float64) {
	takes := make([][]Take, len(done))
	for id, qty := range used {
		i, known := c.part[id]
		if !known || !(qty > 0) || math.IsInf(qty, 1) {
			continue
		}
		if f := takenBy(done, family, id); f >= 0 {
			takes[f] = append(takes[f], Take{i, int(math.Ceil(qty))})
		}
	}
	for f, fix := range done {
		key := [2]string{family, fix.ID}
		s := c.seen[key]
		if s == nil {
			s = &setsSeen{sets: newCollected()}
			c.seen[key] = s
		}
		slices.SortFunc(takes[f], compareTakes)
		s.sets.add(takes[f], weight)
		s.times += weight
	}
}

// takenBy is the fix that a part is laid to, -1 for none.
func takenBy(done []*kb.Fix, family, part string) int {
	at, chance := -1, -1.0
	for f, fix := range done {
		for _, use := range fix.PartsFor(family) {
			if use.Part == part && use.Chance > chance {
				at, chance = f, use.Chance
			}
		}
	}
	if at < 0 && len(done) == 1 {
		return 0
	}
	return at
}
