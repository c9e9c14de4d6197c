package stock

import (
	"slices"
	"strings"
	"time"
)

// Visit is one use of a part: what one stretch of a job took of it, or one use
// outside of jobs. Job and Family are empty for the latter.
type Visit struct {
	At     time.Time
	Part   string
	Pieces float64
	Job    string
	Family string
}

// Visits lists every use among movements, each once, in the order of time, in
// today's ids (see Fold); books need not have begun. Pieces of one part that one
// stretch of a job took at several times or places are one use, at the time of
// the first. What was put back is taken off: of a job, from that job's use; else
// from the newest uses outside of jobs before it. Uses of nothing are left out.
func Visits(movements []Movement, today func(part string) string) []Visit {
	type key struct {
		job     string
		stretch int
		part    string
	}
	var list []Visit
	ofJob := make(map[key]int)
	alone := make(map[string][]int) // uses outside of jobs, by part
	for _, m := range InOrder(movements) {
		if m.Kind != Used {
			continue
		}
		if today != nil {
			m.Part = today(m.Part)
		}
		if m.Job != "" {
			k := key{m.Job, m.Stretch, m.Part}
			if i, ok := ofJob[k]; ok {
				list[i].Pieces = tidy(list[i].Pieces + m.Qty)
				continue
			}
			ofJob[k] = len(list)
		} else if m.Qty < 0 {
			alone[m.Part] = takeBack(list, alone[m.Part], -m.Qty)
			continue
		} else {
			alone[m.Part] = append(alone[m.Part], len(list))
		}
		list = append(list, Visit{At: m.At, Part: m.Part, Pieces: m.Qty, Job: m.Job, Family: m.Family})
	}
	list = slices.DeleteFunc(list, func(v Visit) bool { return v.Pieces <= 0 })
	slices.SortStableFunc(list, func(a, b Visit) int {
		if c := a.At.Compare(b.At); c != 0 {
			return c
		}
		return strings.Compare(a.Part, b.Part)
	})
	return list
}

// takeBack takes pieces off the newest of some uses and returns those that are
// left.
func takeBack(list []Visit, uses []int, pieces float64) []int {
	for pieces > 0 && len(uses) > 0 {
		v := &list[uses[len(uses)-1]]
		n := min(v.Pieces, pieces)
		v.Pieces, pieces = tidy(v.Pieces-n), tidy(pieces-n)
		if v.Pieces == 0 {
			uses = uses[:len(uses)-1]
		}
	}
	return uses
}
