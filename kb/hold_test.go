package kb

import (
	"strings"
	"testing"
	"testing/fstest"
)

// TestStillCountsNeedsOneCheck: "still_counts" only makes sense where the check
// that begins a hold ends it.
func TestStillCountsNeedsOneCheck(t *testing.T) {
	const base = `schema: 1
families: [{id: kiln, name: Kiln}]
checks:
  - {id: air, name: Air, families: [kiln], minutes: 2, how: [look], outcomes: [{id: ok, name: fine}, {id: bad, name: bad}], normally: {ok: 0.9, bad: 0.1}, basis: {kind: estimate}}
  - {id: oil, name: Oil, families: [kiln], minutes: 2, how: [look], outcomes: [{id: ok, name: fine}, {id: bad, name: bad}], normally: {ok: 0.9, bad: 0.1}, basis: {kind: estimate}}
holds:
  - {id: h, families: [kiln], when: {check: air, outcome: bad}, keeps_back: all, until: {check: UNTIL, outcome: ok}, still_counts: true, says: wait, basis: {kind: estimate}}
`
	for until, wrong := range map[string]bool{"air": false, "oil": true} {
		b, problems := Load(fstest.MapFS{"base.yaml": {Data: []byte(strings.Replace(base, "UNTIL", until, 1))}})
		if len(problems.Errors()) > 0 {
			t.Fatal(problems)
		}
		got := strings.Contains(b.Lint().Errors().Error(), `"still_counts" needs one check`)
		if got != wrong {
			t.Errorf("until %s: refused %v, want %v:\n%v", until, got, wrong, b.Lint())
		}
	}
}

// TestHoldThresholds: a doubtful finding begins a hold early and ends it late.
func TestHoldThresholds(t *testing.T) {
	h := &ModelHold{Trigger: 3, TriggerOutcome: "bad", Until: 3, UntilOutcome: "ok"}
	outcomes := []string{"ok", "bad"}
	tests := []struct {
		ok, bad      float64
		begins, ends bool
	}{
		{1, 0, false, true}, {0.96, 0.04, false, true}, {0.93, 0.07, true, false},
		{0.5, 0.5, true, false}, {0, 1, true, false}, {0.0096, 0.0004, false, true}, // weights need not sum to 1
	}
	for _, tt := range tests {
		w := []float64{tt.ok, tt.bad}
		if h.Begins(3, outcomes, w) != tt.begins || h.Ends(3, outcomes, w) != tt.ends {
			t.Errorf("weights %v: begins %v, ends %v; want %v, %v", w, !tt.begins, !tt.ends, tt.begins, tt.ends)
		}
	}
	if h.Begins(2, outcomes, []float64{0, 1}) || h.Ends(2, outcomes, []float64{1, 0}) {
		t.Error("another observable begins or ends the hold")
	}
}
