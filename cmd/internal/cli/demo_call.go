package cli

import (
	"errors"
	"time"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// demoCall is a call that the demo can tell: what the customer says, and the
// trouble behind it.
type demoCall struct {
	family, cause, complaint, appliance string
}

// demoCalls are the calls to choose from. Which of them makes the best story
// depends on the numbers of the base.
var demoCalls = []demoCall{
	{"oil-furnace", "tank-water", "red light came on during the night, house is cold", "invented-site-41"},
	{"oil-furnace", "tank-water", "pressed the reset, it ran a few minutes and quit", "invented-site-41"},
	{"used-oil-heater", "tank-water", "flame sputters and pops, then it goes out", "invented-site-12"},
	{"used-oil-heater", "tank-water", "found it in lockout this morning, shop is cold", "invented-site-12"},
	{"oil-furnace", "flame-sensor-sooted", "locks out once in a while, then runs again", "invented-site-38"},
	{"used-oil-heater", "flame-sensor-sooted", "quits before the room is up to temperature", "invented-site-07"},
}

// Bounds of a story.
const (
	demoChecks = 9   // more checks are not shown
	bestChecks = 4   // so many make a good story
	demoClear  = 0.9 // from this chance on a listener knows what it is
)

// openShop opens the invented shop to look something up.
func (d *demo) openShop() (*shop.Shop, error) {
	return shop.Open(shop.Config{Store: d.store, Base: d.base, By: demoPerson, Now: func() time.Time { return d.clock }})
}

// choose chooses the call that makes the best story with this base: it ends
// with the right fix, after few checks but not at once, and the first suspicion
// is not the right one.
func (d *demo) choose() (demoCall, *fault, error) {
	s, err := d.openShop()
	if err != nil {
		return demoCall{}, nil, err
	}
	defer s.Close()
	var best demoCall
	var trouble *fault
	least := 1000
	for _, c := range demoCalls {
		f, err := newFault(s.Base(), c.family, c.cause)
		if err != nil {
			continue // another base may lack it
		}
		cost, err := rehearse(s, c, f)
		if err != nil {
			return best, nil, err
		}
		if cost < least {
			best, trouble, least = c, f, cost
		}
	}
	if trouble == nil {
		return best, nil, errors.New("none of its calls comes to an end with this base; run it with the shipped one, without --base")
	}
	return best, trouble, nil
}

// rehearse goes through a call without recording it, and returns how far it is
// from a good story.
func rehearse(s *shop.Shop, c demoCall, trouble *fault) (cost int, err error) {
	const useless = 1000
	guesses, err := s.Understand(c.complaint, c.family)
	if err != nil {
		return 0, err
	}
	var acts []kb.Act
	for _, g := range guesses {
		if g.Clear {
			acts = append(acts, kb.Act{Finding: &kb.Finding{Kind: kb.KindSymptom, ID: g.Symptom, Outcome: kb.Yes}})
		}
	}
	engine, err := s.Engine(c.family, "", false)
	if err != nil || len(acts) == 0 {
		return useless, err
	}
	for n := 0; n <= demoChecks; n++ {
		belief, err := engine.Believe(acts)
		if err != nil {
			return 0, err
		}
		r := belief.Rank(ranker.Options{Detail: 1})
		if n == 0 && r.Causes[0].ID == c.cause {
			cost++
		}
		switch {
		case r.Advice.Do == ranker.DoFix && r.Causes[0].ID == c.cause:
			return cost + max(n-bestChecks, 2*(bestChecks-n)), nil
		case r.Advice.Do != ranker.DoCheck:
			return useless, nil
		case r.Causes[0].Probability > demoClear:
			cost += 2 // it goes on after the point is made
		}
		found, err := trouble.shows(r.Advice.Kind, r.Advice.ID)
		if err != nil {
			return 0, err
		}
		acts = append(acts, kb.Act{Finding: &found})
	}
	return useless, nil
}
