package shop

import (
	"fmt"
	"slices"
	"strings"

	"sootsayer/kb"
	"sootsayer/kb/stock"
	"sootsayer/ranker"
)

// BringOptions say from where parts are loaded, and for how much of what they can
// do.
type BringOptions struct {
	Place string  // the truck; "" where none is known: all is on the shelf
	Share float64 // of the chance that everything here gives, in (0,1]
}

// Bringing is what to load for a job. First visits are chances that the first
// visit cures.
type Bringing struct {
	Job        string      `json:"job"`
	FirstVisit float64     `json:"first_visit"`          // with what is loaded
	Truck      float64     `json:"first_visit_truck"`    // with what the truck carries
	Here       float64     `json:"first_visit_all_here"` // with all of truck and shelf
	Anything   float64     `json:"first_visit_any_part"` // whatever parts it takes
	Unlisted   float64     `json:"unlisted"`             // chance that the cause is not listed
	Share      float64     `json:"share"`
	Place      string      `json:"place,omitempty"`
	Counted    bool        `json:"counted"` // something was counted anywhere
	Parts      []BringPart `json:"parts"`
	Holds      []string    `json:"holds"` // what the job's holds say
	Cautions   []string    `json:"cautions"`
}

// BringPart is a part that the job may take.
type BringPart struct {
	Part        string   `json:"part"`
	Name        string   `json:"name"`
	Spec        string   `json:"spec,omitempty"`
	Qty         int      `json:"qty"` // pieces that will usually do when it is needed
	Probability float64  `json:"probability"`
	OnTruck     int      `json:"on_truck"`
	OnShelf     int      `json:"on_shelf"`            // at all other places but the trucks
	Load        int      `json:"load"`                // pieces to take along from the shelf
	Elsewhere   []string `json:"elsewhere,omitempty"` // other places that have it
	For         []string `json:"for"`                 // the fixes that take it, the likeliest first
}

// leastBring is the chance from which a part is listed that is not loaded.
const leastBring = 0.01

// Bring works out what to load for an open job before leaving.
func (s *Shop) Bring(j *kb.Job, o BringOptions) (*Bringing, error) {
	if j.Closed() {
		return nil, errClosed(j)
	}
	if !(o.Share > 0 && o.Share <= 1) {
		return nil, fmt.Errorf("a share of %g cannot be; write one above 0 and up to 1, such as 0.95", o.Share)
	}
	parts := slices.DeleteFunc(slices.Clone(s.base.IDs("parts")), func(id string) bool { return s.partToday(id) != id })
	couse, err := s.coUse(parts)
	if err != nil {
		return nil, err
	}
	belief, err := s.Believe(j)
	if err != nil {
		return nil, err
	}
	e, err := s.Engine(j.Family, j.Model, false)
	if err != nil {
		return nil, err
	}
	needed, finished := repairs(e.Model(), belief, 1)
	all, cured := stock.NewNeeds(needed, couse.Sets), stock.NewNeeds(finished, couse.Sets)
	at, err := s.piecesByPlace(parts, o.Place)
	if err != nil {
		return nil, err
	}
	b := stock.NewBring(&all, &cured, at.truck, at.shelf, o.Share)
	out := &Bringing{Job: j.ID, FirstVisit: b.Loaded, Truck: b.Truck, Here: b.Here, Anything: b.Anything, Unlisted: all.Unlisted,
		Share: o.Share, Place: o.Place, Counted: at.counted, Parts: []BringPart{}, Holds: []string{}}
	by := takenBy(fixesFor(e.Model(), belief), couse, j.Family, len(parts))
	for _, p := range b.Parts {
		if p.Probability < leastBring && p.Load == 0 {
			continue
		}
		id := parts[p.Part]
		part, _ := s.base.Part(id)
		out.Parts = append(out.Parts, BringPart{Part: id, Name: part.Name, Spec: part.Spec, Qty: p.Pieces, Probability: p.Probability,
			OnTruck: p.OnTruck, OnShelf: p.OnShelf, Load: p.Load, Elsewhere: at.elsewhere[id], For: by[p.Part]})
	}
	s.bringCautions(out, j.Family, belief)
	return out, nil
}

// bringCautions adds everything that a person who leaves for the job has to mind.
func (s *Shop) bringCautions(out *Bringing, family string, belief *ranker.Belief) {
	for _, h := range belief.Rank(ranker.Options{}).Holds {
		out.Holds = append(out.Holds, h.Says)
	}
	if f, ok := s.base.Family(family); ok {
		out.Cautions = append([]string{}, f.Cautions...)
	}
}

// fixesFor are the fixes that a job may take, the likeliest first.
func fixesFor(m *kb.Model, b *ranker.Belief) []string {
	chance := make([]float64, len(m.Fixes))
	for _, set := range b.FixSets() {
		for _, f := range set.Fixes {
			chance[f] += set.Probability
		}
	}
	var order []int
	for f, p := range chance {
		if p > 0 {
			order = append(order, f)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int {
		switch {
		case chance[x] > chance[y]:
			return -1
		case chance[x] < chance[y]:
			return 1
		}
		return strings.Compare(m.Fixes[x].ID, m.Fixes[y].ID)
	})
	ids := make([]string, len(order))
	for i, f := range order {
		ids[i] = m.Fixes[f].ID
	}
	return ids
}

// takenBy are, by part index, those of the fixes that take it.
func takenBy(fixes []string, c *stock.CoUse, family string, parts int) [][]string {
	out := make([][]string, parts)
	for i := range out {
		out[i] = []string{}
	}
	for _, fix := range fixes {
		for _, set := range c.Sets(family, fix) {
			for _, t := range set.Takes {
				if list := out[t.Part]; len(list) == 0 || list[len(list)-1] != fix {
					out[t.Part] = append(list, fix)
				}
			}
		}
	}
	return out
}

// piecesHere are the pieces of each part on the truck that leaves, on the shelf,
// which is every place that is no truck, and at which other places there are some.
type piecesHere struct {
	truck, shelf []int
	elsewhere    map[string][]string
	counted      bool
}

func (s *Shop) piecesByPlace(parts []string, truck string) (*piecesHere, error) {
	books, err := s.Books()
	if err != nil {
		return nil, err
	}
	p := &piecesHere{truck: make([]int, len(parts)), shelf: make([]int, len(parts)), elsewhere: make(map[string][]string)}
	for i, id := range parts {
		book := books.Part(id)
		for k := range book.Places {
			at := &book.Places[k]
			n := max(0, int(at.OnHand))
			p.counted = true
			switch {
			case at.Place == truck:
				p.truck[i] += n
			case !IsTruck(at.Place):
				p.shelf[i] += n
			case n > 0:
				p.elsewhere[id] = append(p.elsewhere[id], fmt.Sprintf("%s %d", at.Place, n))
			}
		}
	}
	return p, nil
}

// IsTruck tells whether a place is a truck by its name: truck, truck-1, van-2.
func IsTruck(place string) bool {
	word, _, _ := strings.Cut(place, "-")
	return word == "truck" || word == "van"
}

// OnlyTruck returns the only truck that books know, "" where there is none or
// there are several.
func (s *Shop) OnlyTruck() (string, error) {
	books, err := s.Books()
	if err != nil {
		return "", err
	}
	trucks := slices.DeleteFunc(books.Places(), func(place string) bool { return !IsTruck(place) })
	if len(trucks) == 1 {
		return trucks[0], nil
	}
	return "", nil
}
