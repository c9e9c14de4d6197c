package ranker

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"sootsayer/kb"
)

// published reads one worked example of ../testdata/published, where its source
// stands beside its figures.
func published(t *testing.T, file, id string, inputs, expected any) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "published", file))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		ID       string
		Inputs   json.RawMessage
		Expected json.RawMessage
	}
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		if x.ID == id {
			if err := json.Unmarshal(x.Inputs, inputs); err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(x.Expected, expected); err != nil {
				t.Fatal(err)
			}
			return
		}
	}
	t.Fatalf("%s has no example %s", file, id)
}

func close(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, published %v", what, got, want)
	}
}

// plainBase is a base of single faults without an unlisted cause or a floor,
// so that nothing but the example's own numbers is in it.
func plainBase() *kb.Base {
	b := &kb.Base{Schema: 1, Families: []kb.Family{{ID: testFamily}}}
	b.Settings.EscalationMinutes = 1e6
	return b
}

// addCause adds a cause with its own fix, or one shared by name.
func addCause(b *kb.Base, id string, share float64, fix string, minutes float64) {
	if _, known := b.Fix(fix); !known {
		b.Fixes = append(b.Fixes, kb.Fix{ID: fix, Minutes: minutes, Cures: 1})
	}
	b.Causes = append(b.Causes, kb.Cause{ID: id, Share: map[string]float64{testFamily: share}, Fix: fix})
	b.Reindex()
}

// addCheck adds a check with outcomes o0, o1, ... and a full row for each cause.
func addCheck(b *kb.Base, id string, minutes float64, rows map[string][]float64) {
	c := kb.Check{ID: id, Families: []string{testFamily}, Minutes: minutes}
	for _, cause := range b.Causes {
		row, ok := rows[cause.ID]
		if !ok {
			continue
		}
		var table kb.Table
		for j, p := range row {
			table = append(table, kb.Prob{Outcome: fmt.Sprintf("o%d", j), P: p})
		}
		c.If = append(c.If, kb.Row{Cause: cause.ID, Table: table})
		c.Normally = table
	}
	for j := range c.Normally {
		c.Outcomes = append(c.Outcomes, kb.Outcome{ID: fmt.Sprintf("o%d", j)})
	}
	if normally, ok := rows["normally"]; ok {
		c.Normally = slices.Clone(c.Normally)
		for j, p := range normally {
			c.Normally[j].P = p
		}
	}
	b.Checks = append(b.Checks, c)
	b.Reindex()
}

func found(check string, outcome int) kb.Act {
	return kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: check, Outcome: fmt.Sprintf("o%d", outcome)}}
}

func rankOf(t *testing.T, b *kb.Base, acts ...kb.Act) (*Belief, Ranking) {
	t.Helper()
	belief, err := compile(t, b, testFamily).Believe(acts)
	if err != nil {
		t.Fatal(err)
	}
	return belief, belief.Rank(Options{})
}

func bitsOf(t *testing.T, r Ranking, check string) float64 {
	t.Helper()
	for _, c := range r.Checks {
		if c.ID == check {
			return c.Bits
		}
	}
	t.Fatalf("no check %s", check)
	return 0
}

func chanceOf(r Ranking, cause string) float64 {
	for _, c := range r.Causes {
		if c.ID == cause {
			return c.Probability
		}
	}
	return math.NaN()
}

// TestQuinlanWeather: information gains of the weather table (Quinlan 1986).
// The paper cuts its figures to three digits.
func TestQuinlanWeather(t *testing.T) {
	var in struct {
		Columns []string
		Rows    [][]string
	}
	var want struct {
		Entropy     float64 `json:"class_entropy_bits"`
		Outlook     float64 `json:"gain_outlook"`
		Humidity    float64 `json:"gain_humidity"`
		Wind        float64 `json:"gain_wind"`
		Temperature float64 `json:"gain_temperature"`
		Published   map[string]float64
	}
	published(t, "information-gain.json", "IG-01", &in, &want)
	b := plainBase()
	count := map[string]float64{}
	for _, r := range in.Rows {
		count[r[4]]++
	}
	addCause(b, "play-yes", count["Yes"], "f-yes", 1)
	addCause(b, "play-no", count["No"], "f-no", 1)
	for col, name := range in.Columns[:4] {
		var values []string
		for _, r := range in.Rows {
			if !slices.Contains(values, r[col]) {
				values = append(values, r[col])
			}
		}
		rows := map[string][]float64{"play-yes": make([]float64, len(values)), "play-no": make([]float64, len(values))}
		for _, r := range in.Rows {
			class := map[string]string{"Yes": "play-yes", "No": "play-no"}[r[4]]
			rows[class][slices.Index(values, r[col])] += 1 / count[r[4]]
		}
		addCheck(b, name, 1, rows)
	}
	belief, r := rankOf(t, b)
	close(t, "class entropy", entropy(belief.post), want.Entropy, 1e-12)
	for name, gain := range map[string]float64{"outlook": want.Outlook, "humidity": want.Humidity, "wind": want.Wind, "temperature": want.Temperature} {
		close(t, name, bitsOf(t, r, name), gain, 1e-12)
	}
	close(t, "outlook as printed", bitsOf(t, r, "outlook"), want.Published["outlook"], 0.001)
	if r.Checks[0].ID != "outlook" {
		t.Errorf("first check %s, the paper's root is outlook", r.Checks[0].ID)
	}
}

// TestWeighing: the twelve balls (MacKay 2003, section 4.1), first weighing by
// pan load and second after a tilt.
func TestWeighing(t *testing.T) {
	var in struct{ Balls int }
	want := map[string]any{}
	published(t, "information-gain.json", "IG-05", &in, &want)
	b := plainBase()
	for i := range in.Balls {
		addCause(b, fmt.Sprintf("heavy-%d", i), 1, fmt.Sprintf("fix-heavy-%d", i), 1)
		addCause(b, fmt.Sprintf("light-%d", i), 1, fmt.Sprintf("fix-light-%d", i), 1)
	}
	weigh := func(id string, left, right []int) {
		rows := map[string][]float64{}
		for i := range in.Balls {
			heavy, light := []float64{1, 0, 0}, []float64{1, 0, 0} // balance, left down, right down
			if slices.Contains(left, i) {
				heavy, light = []float64{0, 1, 0}, []float64{0, 0, 1}
			}
			if slices.Contains(right, i) {
				heavy, light = []float64{0, 0, 1}, []float64{0, 1, 0}
			}
			rows[fmt.Sprintf("heavy-%d", i)], rows[fmt.Sprintf("light-%d", i)] = heavy, light
		}
		addCheck(b, id, 1, rows)
	}
	balls := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	for k := 1; k <= 6; k++ {
		weigh(fmt.Sprintf("%dv%d", k, k), balls[:k], balls[k:2*k])
	}
	weigh("second", []int{0, 1, 4}, []int{2, 3, 5}) // heavy 0-3 or light 4-7: falls 3-2-3
	belief, r := rankOf(t, b)
	close(t, "24 hypotheses", entropy(belief.post), want["total_bits_log2_24"].(float64), 1e-12)
	for k := 1; k <= 6; k++ {
		name := fmt.Sprintf("%dv%d", k, k)
		close(t, name, bitsOf(t, r, name), want[name].(float64), 1e-12)
	}
	if r.Checks[0].ID != "4v4" && r.Checks[0].ID != "second" {
		t.Errorf("first weighing %s, the book's is four against four", r.Checks[0].ID)
	}
	var second map[string]float64
	var ignored any
	published(t, "information-gain.json", "IG-06", &ignored, &second)
	_, r = rankOf(t, b, found("4v4", 1))
	close(t, "second weighing", bitsOf(t, r, "second"), second["3-2-3"], 1e-12)
}

// TestScreening: the two screening-test examples, Eddy (1982) with Gigerenzer
// and Hoffrage (1995), and Casscells, Schoenberger and Graboys (1978).
func TestScreening(t *testing.T) {
	posterior := func(prior, sensitivity, falsePositive float64) float64 {
		b := plainBase()
		addCause(b, "ill", prior, "treat", 1)
		addCause(b, "well", 1-prior, "nothing", 1)
		addCheck(b, "screen", 1, map[string][]float64{"ill": {1 - sensitivity, sensitivity}, "normally": {1 - falsePositive, falsePositive}})
		_, r := rankOf(t, b, found("screen", 1))
		return chanceOf(r, "ill")
	}
	var in map[string]json.RawMessage
	var want struct{ Eddy, Gigerenzer float64 }
	published(t, "bayes-networks.json", "BN-09", &in, &want)
	for name, w := range map[string]float64{"eddy": want.Eddy, "gigerenzer": want.Gigerenzer} {
		var x struct{ Prior, Sens, FPR float64 }
		if err := json.Unmarshal(in[name], &x); err != nil {
			t.Fatal(err)
		}
		close(t, name, posterior(x.Prior, x.Sens, x.FPR), w, 1e-12)
	}
	var school struct{ Prior, Sens, FPR float64 }
	var result struct{ Posterior float64 }
	published(t, "bayes-networks.json", "BN-10", &school, &result)
	close(t, "medical school", posterior(school.Prior, school.Sens, school.FPR), result.Posterior, 1e-12)
}

// TestNoisyOR: the fever table of Russell and Norvig, and the leaky noisy-OR of
// Henrion (1987) and Heckerman (1989) against the posterior of 16 states.
func TestNoisyOR(t *testing.T) {
	var in struct{ Inhibit map[string]float64 }
	var want map[string]any
	published(t, "bayes-networks.json", "BN-11", &in, &want)
	normally := []float64{1, 0}
	for state := range 8 {
		var zs [][]float64
		for i, cause := range []string{"cold", "flu", "malaria"} {
			if state>>(2-i)&1 == 1 {
				q := in.Inhibit[cause]
				zs = append(zs, appendRatios(nil, []float64{q, 1 - q}, normally))
			}
		}
		p := make([]float64, 2)
		combine(p, normally, zs)
		name := fmt.Sprintf("%03b", state)
		close(t, "fever "+name, p[1], want[name].(float64), 1e-12)
	}
	var leaky struct {
		Prior   []float64
		Leak    []float64   `json:"leak_f"`
		Only    [][]float64 `json:"P(f|only d)"`
		Present []int
		Absent  []int
	}
	var result struct {
		Evidence  float64 `json:"P_evidence"`
		Posterior []float64
	}
	published(t, "bayes-networks.json", "BN-12", &leaky, &result)
	var evidence float64
	posterior := make([]float64, len(leaky.Prior))
	for state := range 1 << len(leaky.Prior) {
		p := 1.0
		for d, prior := range leaky.Prior {
			if state>>d&1 == 1 {
				p *= prior
			} else {
				p *= 1 - prior
			}
		}
		finding := func(f int) []float64 {
			normally := []float64{1 - leaky.Leak[f], leaky.Leak[f]}
			var zs [][]float64
			for d := range leaky.Prior {
				if state>>d&1 == 1 {
					no := (1 - leaky.Leak[f]) * (1 - leaky.Only[f][d]) // the cause's strength apart from the leak
					zs = append(zs, appendRatios(nil, []float64{no, 1 - no}, normally))
				}
			}
			out := make([]float64, 2)
			combine(out, normally, zs)
			return out
		}
		for _, f := range leaky.Present {
			p *= finding(f)[1]
		}
		for _, f := range leaky.Absent {
			p *= finding(f)[0]
		}
		evidence += p
		for d := range posterior {
			if state>>d&1 == 1 {
				posterior[d] += p
			}
		}
	}
	close(t, "P(evidence)", evidence, result.Evidence, 1e-11)
	for d := range posterior {
		close(t, fmt.Sprintf("disease %d", d), posterior[d]/evidence, result.Posterior[d], 1e-11)
	}
}
