package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"sootsayer/kb"
	"sootsayer/ranker"
)

// columns are those of the contract for files of closed jobs.
var columns = []string{"job", "opened", "closed", "family", "model", "appliance", "complaint", "symptoms", "findings",
	"tried", "causes", "confidence", "parts", "minutes", "callback_of"}

// visit is a closed call of the invented shop.
type visit struct {
	*call
	opened, closed   time.Time
	model, appliance string
	complaint        string
	causes           []string
	confidence       float64
	callbackOf       *visit
}

// site is a place with one piece of equipment.
type site struct {
	kind             int
	model, appliance string
}

// writeDemo writes the closed jobs of the invented shop: n calls, and callbacks
// on top. The same base gives the same file.
func writeDemo(w io.Writer, b *kb.Base, n int) error {
	rng := rand.New(rand.NewPCG(seed, 1))
	truths := make([]*truth, len(kinds))
	engines := make([]*ranker.Engine, len(kinds))
	var sites []site
	for i := range kinds {
		t, err := newTruth(b, &kinds[i], rng)
		if err != nil {
			return err
		}
		truths[i], engines[i] = t, ranker.New(t.model)
		for range kinds[i].sites {
			sites = append(sites, site{i, pick(rng, kinds[i].models), fmt.Sprintf("invented-site-%02d", len(sites)+1)})
		}
	}
	times, called, count := openings(rng, n), make([]site, n), make([]int, len(kinds))
	for i := range called {
		called[i] = sites[rng.IntN(len(sites))]
		count[called[i].kind]++
	}
	for i, t := range truths {
		t.prepare(rng, count[i])
	}
	var visits []*visit
	for i, s := range called {
		list, err := truths[s.kind].visits(b, rng, engines[s.kind], times[i])
		if err != nil {
			return err
		}
		for _, v := range list {
			v.model, v.appliance = s.model, s.appliance
		}
		visits = append(visits, list...)
	}
	slices.SortStableFunc(visits, func(x, y *visit) int { return x.opened.Compare(y.opened) })
	return writeVisits(w, visits)
}

// openings draws when the shop was called, in order: working days and hours,
// by the months of the year.
func openings(rng *rand.Rand, n int) []time.Time {
	var list []time.Time
	for len(list) < n {
		month := draw(rng, monthWeights[:])
		year := firstSeason + rng.IntN(seasons)
		if month < 7 { // a season begins in August
			year++
		}
		at := time.Date(year, time.Month(month+1), 1+rng.IntN(28), 7, 32+10*rng.IntN(54), 0, 0, time.UTC)
		if day := at.Weekday(); day == time.Sunday || day == time.Saturday && rng.IntN(3) > 0 {
			continue
		}
		list = append(list, at)
	}
	slices.SortFunc(list, time.Time.Compare)
	return list
}

// visits works a call; some are closed wrongly at first and come back.
func (t *truth) visits(b *kb.Base, rng *rand.Rand, engine *ranker.Engine, at time.Time) ([]*visit, error) {
	fault := t.fault(rng)
	c, err := t.work(b, rng, fault, engine)
	if err != nil {
		return nil, err
	}
	first := t.close(b, rng, c, at)
	if len(fault) == 0 || rng.Float64() >= wrongShare {
		return []*visit{first}, nil
	}
	wrong := slices.IndexFunc(c.likeliest, func(id string) bool { return !slices.Contains(first.causes, id) })
	if wrong < 0 {
		return []*visit{first}, nil
	}
	first.causes, first.confidence = []string{c.likeliest[wrong]}, 1
	if c, err = t.work(b, rng, fault, engine); err != nil {
		return nil, err
	}
	days := time.Duration(1 + rng.IntN(20))
	back := t.close(b, rng, c, first.closed.Truncate(24*time.Hour).Add(days*24*time.Hour+8*time.Hour+42*time.Minute))
	back.complaint, back.callbackOf = "it is back: "+back.complaint, first
	return []*visit{first, back}, nil
}

// close closes a call with what it turned out to be.
func (t *truth) close(b *kb.Base, rng *rand.Rand, c *call, at time.Time) *visit {
	v := &visit{call: c, opened: at, complaint: c.complaint(b, rng), confidence: 1}
	for _, i := range slices.Sorted(maps.Keys(c.began)) {
		v.causes = append(v.causes, t.model.Causes[i].ID)
	}
	switch {
	case len(v.causes) == 0:
		v.causes = []string{kb.Unlisted}
	case c.gaveUp: // the support call named it
		v.confidence = []float64{1, 0.9, 0.8}[rng.IntN(3)]
	case rng.IntN(12) == 0:
		v.confidence = []float64{0.9, 0.8, 0.7, 0.6}[rng.IntN(4)]
	}
	c.minutes = 5 * math.Round((15+c.minutes*math.Exp(0.15*rng.NormFloat64()))/5)
	v.closed = at.Add(time.Duration(c.minutes) * time.Minute)
	return v
}

// writeVisits numbers the visits in their order and writes them.
func writeVisits(w io.Writer, visits []*visit) error {
	out := csv.NewWriter(w)
	if err := out.Write(columns); err != nil {
		return err
	}
	number := make(map[*visit]string)
	for i, v := range visits {
		number[v] = strconv.Itoa(i + 1)
	}
	for _, v := range visits {
		err := out.Write([]string{number[v], v.opened.Format(time.RFC3339), v.closed.Format(time.RFC3339), v.truth.model.Family, v.model, v.appliance,
			v.complaint, listed(v.before, kb.KindSymptom), listed(v.before, kb.KindCheck), v.triedList(), strings.Join(v.causes, ";"),
			strconv.FormatFloat(v.confidence, 'g', -1, 64), v.partList(), strconv.FormatFloat(v.minutes, 'g', -1, 64), number[v.callbackOf]})
		if err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// listed are the findings of one kind, as the columns have them.
func listed(findings []kb.Finding, kind string) string {
	var words []string
	for i := range findings {
		f := &findings[i]
		if f.Kind != kind {
			continue
		}
		word := found(f)
		if kind == kb.KindSymptom {
			word = strings.TrimSuffix(word, "="+kb.Yes)
		}
		words = append(words, word)
	}
	return strings.Join(words, ";")
}

func found(f *kb.Finding) string {
	if f.Reading != nil {
		return f.ID + "=" + strconv.FormatFloat(*f.Reading, 'g', -1, 64)
	}
	return f.ID + "=" + f.Outcome
}

func (c *call) triedList() string {
	var words []string
	for _, a := range c.tried {
		if a.Finding != nil {
			words = append(words, found(a.Finding))
		} else {
			words = append(words, a.Tried)
		}
	}
	return strings.Join(words, ";")
}

func (c *call) partList() string {
	var words []string
	for _, id := range slices.Sorted(maps.Keys(c.used)) {
		words = append(words, id+"="+strconv.FormatFloat(c.used[id], 'g', -1, 64))
	}
	return strings.Join(words, ";")
}
