package ranker

import (
	"fmt"
	"slices"
	"testing"

	"sootsayer/kb"
)

// asia is a naive exact engine for the chest-clinic network: it sums over all
// states of all variables. Its figures are those of Lauritzen and Spiegelhalter
// (1988); the real engine is then compared with it.
type asia struct{ cpt map[string]any }

func (a asia) p(name string) float64 { return a.cpt[name].(float64) }

var asiaVariables = []string{"asia", "smoke", "tub", "lung", "bronc", "xray", "dysp"}

// joint is the probability of one state of all variables.
func (a asia) joint(s map[string]bool) float64 {
	term := func(v string, p float64) float64 {
		if s[v] {
			return p
		}
		return 1 - p
	}
	given := func(child, parent string) float64 {
		if s[parent] {
			return a.p(child + "|" + parent)
		}
		return a.p(child + "|~" + parent)
	}
	either := "~either"
	if s["tub"] || s["lung"] {
		either = "either"
	}
	bronc := "~bronc"
	if s["bronc"] {
		bronc = "bronc"
	}
	return term("asia", a.p("asia")) * term("smoke", a.p("smoke")) * term("tub", given("tub", "asia")) *
		term("lung", given("lung", "smoke")) * term("bronc", given("bronc", "smoke")) *
		term("xray", a.p("xray|"+either)) * term("dysp", a.p("dysp|"+bronc+","+either))
}

// sum adds up the joint over all states, each weighed by weigh.
func (a asia) sum(weigh func(s map[string]bool) float64) (total float64) {
	for bits := range 1 << len(asiaVariables) {
		s := map[string]bool{}
		for i, v := range asiaVariables {
			s[v] = bits>>i&1 == 1
		}
		total += a.joint(s) * weigh(s)
	}
	return total
}

func newAsia(t *testing.T) asia {
	var in struct{ CPT map[string]any }
	var want any
	published(t, "bayes-networks.json", "BN-01", &in, &want)
	return asia{in.CPT}
}

func isTrue(v string) func(map[string]bool) float64 {
	return func(s map[string]bool) float64 {
		if s[v] {
			return 1
		}
		return 0
	}
}

// TestAsiaNaive checks the naive engine against the published posteriors.
func TestAsiaNaive(t *testing.T) {
	a := newAsia(t)
	var in any
	var want map[string]any
	published(t, "bayes-networks.json", "BN-02", &in, &want)
	ev := func(s map[string]bool) float64 { return isTrue("asia")(s) * isTrue("dysp")(s) }
	p := a.sum(ev)
	close(t, "P(asia, dysp)", p, want["P_evidence"].(float64), 1e-9)
	for _, v := range []string{"tub", "lung", "bronc", "smoke", "xray"} {
		q := a.sum(func(s map[string]bool) float64 { return ev(s) * isTrue(v)(s) }) / p
		close(t, v, q, want[v].(float64), 1e-6)
	}
}

// asiaBase expresses the network as a base: the eight states of tub, lung and
// bronc are single causes, and asia, smoke, xray and dysp, independent given
// those, are checks. Causes that agree on target share a fix, so that the bits
// are those about the target.
func asiaBase(a asia, target string) *kb.Base {
	b := plainBase()
	diseases := []string{"tub", "lung", "bronc"}
	rows := map[string]map[string][]float64{"asia": {}, "smoke": {}, "xray": {}, "dysp": {}}
	for state := range 8 {
		has := map[string]bool{}
		id := "state"
		for i, d := range diseases {
			has[d] = state>>i&1 == 1
			id += fmt.Sprintf("-%v", has[d])
		}
		matches := func(s map[string]bool) float64 {
			for _, d := range diseases {
				if s[d] != has[d] {
					return 0
				}
			}
			return 1
		}
		prior := a.sum(matches)
		addCause(b, id, prior, fmt.Sprintf("fix-%s-%v", target, has[target]), 1)
		for v := range rows {
			yes := a.sum(func(s map[string]bool) float64 { return matches(s) * isTrue(v)(s) }) / prior
			rows[v][id] = []float64{1 - yes, yes}
		}
	}
	for _, v := range []string{"asia", "smoke", "xray", "dysp"} {
		addCheck(b, v, 1, rows[v])
	}
	return b
}

// TestAsia compares the real engine with the published posteriors (BN-02,
// BN-04), with the naive engine under soft evidence (BN-05), and its bits with
// the mutual information of each finding (IG-12).
func TestAsia(t *testing.T) {
	a := newAsia(t)
	needs := func(r Ranking, target string) float64 {
		for _, f := range r.Fixes {
			if f.ID == "fix-"+target+"-true" {
				return f.Probability
			}
		}
		return 0
	}
	var in any
	var want map[string]any
	published(t, "bayes-networks.json", "BN-02", &in, &want)
	var more map[string]map[string]float64
	published(t, "bayes-networks.json", "BN-04", &in, &more)
	var soft map[string]float64
	published(t, "bayes-networks.json", "BN-05", &in, &soft)
	var info map[string]map[string]map[string]float64
	published(t, "information-gain.json", "IG-12", &in, &info)
	for _, target := range []string{"tub", "lung", "bronc"} {
		b := asiaBase(a, target)
		_, r := rankOf(t, b, found("asia", 1), found("dysp", 1))
		close(t, target+" given asia, dysp", needs(r, target), want[target].(float64), 1e-6)
		for _, finding := range []string{"smoke", "xray"} {
			if bits, ok := info["given_asia=1,dysp=1"][target][finding]; ok {
				close(t, target+" "+finding+" bits", bitsOf(t, r, finding), bits, 1e-7)
			}
		}
		_, r = rankOf(t, b, found("asia", 1), found("dysp", 1), found("xray", 0))
		close(t, target+" given asia, dysp, ~xray", needs(r, target), more["asia,dysp,~xray"][target], 1e-6)
		_, r = rankOf(t, b, kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "xray", Weights: map[string]float64{"o1": 0.8, "o0": 0.2}}})
		close(t, target+" given soft xray", needs(r, target), soft[target], 1e-8)
		_, r = rankOf(t, b)
		for _, finding := range []string{"smoke", "xray", "dysp", "asia"} {
			if bits, ok := info["no_evidence"][target][finding]; ok {
				close(t, target+" "+finding+" bits", bitsOf(t, r, finding), bits, 1e-7)
			}
		}
	}
}

// TestVirtualEvidence: a doubtful finding multiplies by a likelihood vector
// whose scale does not matter (Pearl 1988, section 2.2.2).
func TestVirtualEvidence(t *testing.T) {
	b := asiaBase(newAsia(t), "lung")
	act := func(yes, no float64) kb.Act {
		return kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "xray", Weights: map[string]float64{"o1": yes, "o0": no}}}
	}
	one, _ := rankOf(t, b, act(0.8, 0.2))
	two, _ := rankOf(t, b, act(0.08, 0.02))
	for s := range one.post {
		close(t, "scaled evidence", one.post[s], two.post[s], 1e-12)
	}
	sure, _ := rankOf(t, b, act(1, 0))
	plain, _ := rankOf(t, b, found("xray", 1))
	if !slices.EqualFunc(sure.post, plain.post, func(a, b float64) bool { return near(a, b, 1e-12) }) {
		t.Error("a sure weight differs from the outcome itself")
	}
}
