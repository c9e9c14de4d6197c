package stock

import (
	"fmt"
	"testing"
)

// poissonOnly keeps the published methods' means as they are.
var poissonOnly = Dispersion{Ratio: 1, Worth: 1}

// rateOf runs a method that has a mean through a series.
func rateOf(m Method, y []int) *around {
	return (&History{Pieces: y}).through(m.Begin()).(*around)
}

type twoSeries struct {
	Y1, Y2 []int
	Alpha  []float64
}

func (s *twoSeries) named() map[string][]int { return map[string][]int{"y1": s.Y1, "y2": s.Y2} }

func TestPublishedCroston(t *testing.T) { // DS-01
	var in twoSeries
	type state struct{ Size, Interval, Rate float64 }
	var want struct {
		Y1, Y2 map[string]state
		One1   []*float64 `json:"y1_alpha0.1_one_step"`
		One2   []*float64 `json:"y2_alpha0.1_one_step"`
		Apart  float64    `json:"y1_size0.2_interval0.1"`
	}
	published(t, "series.json", "DS-01", &in, &want)
	for name, y := range in.named() {
		states := map[string]map[string]state{"y1": want.Y1, "y2": want.Y2}[name]
		for _, a := range in.Alpha {
			c := rateOf(Croston{Size: a, Interval: a, Dispersion: poissonOnly}, y).recursion.(*crostonTrack)
			w := states[fmt.Sprint(a)]
			what := fmt.Sprintf("%s at %g ", name, a)
			near(t, what+"size", c.size, w.Size, 1e-12)
			near(t, what+"interval", c.interval, w.Interval, 1e-12)
			near(t, what+"rate", c.mean(0), w.Rate, 1e-12)
		}
		for i, w := range map[string][]*float64{"y1": want.One1, "y2": want.One2}[name] {
			got := rateOf(Croston{Size: 0.1, Interval: 0.1, Dispersion: poissonOnly}, y[:i]).mean(0)
			if w == nil { // no forecast before the first demand counts as one of nothing
				near(t, name+" before the first demand", got, 0, 0)
				continue
			}
			near(t, fmt.Sprintf("%s one step to %d", name, i+1), got, *w, 5e-10)
		}
	}
	near(t, "factors apart", rateOf(Croston{Size: 0.2, Interval: 0.1}, in.Y1).mean(0), want.Apart, 1e-12)
}

func TestPublishedCorrections(t *testing.T) { // DS-02
	var in twoSeries
	var want map[string]map[string]struct{ SBA, SBJ float64 }
	published(t, "series.json", "DS-02", &in, &want)
	for name, y := range in.named() {
		for _, a := range in.Alpha {
			w := want[name][fmt.Sprint(a)]
			near(t, name+" SBA", rateOf(Croston{a, a, SyntetosBoylan, poissonOnly}, y).mean(0), w.SBA, 1e-12)
			near(t, name+" SBJ", rateOf(Croston{a, a, ShaleBoylanJohnston, poissonOnly}, y).mean(0), w.SBJ, 1e-12)
		}
	}
}

// TestPublishedTSB checks both conventions: a start value to which the first
// month is added, and one on which the first month was spent. The method's own
// start is neither: it needs no start value.
func TestPublishedTSB(t *testing.T) { // DS-03
	var in struct {
		twoSeries
		Size   float64 `json:"size_factor"`
		Chance float64 `json:"probability_factor"`
		Start  struct{ Size, Probability float64 }
	}
	var want struct {
		From1 map[string]struct{ Size, Probability, Rate float64 } `json:"update_from_period_1"`
		Spent map[string]float64                                   `json:"R_tsintermittent_start_is_period_1"`
	}
	published(t, "series.json", "DS-03", &in, &want)
	run := func(y []int) *tsbTrack {
		// Many months and demands seen before: the plain average is over.
		s := &tsbTrack{TSB: TSB{Size: in.Size, Chance: in.Chance}, size: in.Start.Size, chance: in.Start.Probability, demands: 100, months: 100}
		for _, n := range y {
			s.update(0, float64(n))
		}
		return s
	}
	for name, y := range in.named() {
		s, w := run(y), want.From1[name]
		near(t, name+" size", s.size, w.Size, 1e-12)
		near(t, name+" chance", s.chance, w.Probability, 1e-12)
		near(t, name+" rate", s.mean(0), w.Rate, 1e-12)
		near(t, name+" with the first month spent", run(y[1:]).mean(0), want.Spent[name], 1e-12)
	}
}

func TestTSBStartsAsAnAverage(t *testing.T) {
	tsb := rateOf(TSB{Size: 0.1, Chance: 0.1}, []int{0, 0, 3, 0, 5})
	near(t, "chance", tsb.recursion.(*tsbTrack).chance, 0.4, 1e-12)
	near(t, "size", tsb.recursion.(*tsbTrack).size, 4, 1e-12)
	near(t, "smoothing", rateOf(Smoothing{Factor: 0.1}, []int{0, 0, 3, 0, 5}).mean(0), 1.6, 1e-12)
}

func TestPublishedClasses(t *testing.T) { // DS-04, DS-05
	var in map[string][]int
	var want struct {
		ADI map[string]float64
		CV2 map[string]float64
	}
	published(t, "series.json", "DS-04", &in, &want)
	var boundary struct {
		ADI float64           `json:"crosses_CV2_0_at_ADI"`
		CV2 float64           `json:"crosses_ADI_1_at_CV2"`
		Of  map[string]string `json:"class_of_DS-04"`
	}
	published(t, "series.json", "DS-05", &struct{}{}, &boundary)
	if len(in) != 4 {
		t.Fatalf("%d series, want 4", len(in))
	}
	for name, y := range in {
		interval, cv2 := Regularity(y)
		near(t, name+" interval", interval, want.ADI[name], 1e-12)
		near(t, name+" CV2", cv2, want.CV2[name], 1e-8)
		if got := ClassOf(y); string(got) != name {
			t.Errorf("%s is taken for %s", name, got)
		}
		form := map[string]Correction{"Croston": Uncorrected, "SBA": SyntetosBoylan}[boundary.Of[name]]
		if got := correctionFor(interval, cv2); got != form {
			t.Errorf("%s: correction %v, published %s", name, got, boundary.Of[name])
		}
	}
	const little = 1e-12
	for _, x := range []struct {
		interval, cv2 float64
		want          Correction
	}{
		{boundary.ADI - little, 0, Uncorrected}, {boundary.ADI + little, 0, SyntetosBoylan},
		{1, boundary.CV2 - little, Uncorrected}, {1, boundary.CV2 + little, SyntetosBoylan},
	} {
		if got := correctionFor(x.interval, x.cv2); got != x.want {
			t.Errorf("interval %.13g, CV2 %.13g: correction %v, want %v", x.interval, x.cv2, got, x.want)
		}
	}
}
