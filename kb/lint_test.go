package kb

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// senseless are changes to the sample that keep its form but not its sense,
// with all that is to be said about each. For ① and ② see mistakes.
var senseless = []struct{ name, from, to, want string }{
	// ids
	{"unknown family", "{id: flue, name: Flue, families: [oil-furnace]}", "{id: flue, name: Flue, families: [oil-furnace, ①oil-furnaces]}",
		`base.yaml:①: component "flue": there is no family "oil-furnaces"; did you mean "oil-furnace"?`},
	{"unknown family of a share", "share: {oil-furnace: 3}", "share: {oil-furnace: 3, ①gas: 1}",
		`base.yaml:①: cause "nozzle-worn": there is no family "gas"; add the family or name one that is there`},
	{"unknown component", "component: nozzle,", "component: ①nozle,",
		`base.yaml:6:10: warning: component "nozzle": no cause names it; use it or take it out` + "\n" +
			`base.yaml:①: cause "nozzle-worn": there is no component "nozle"; did you mean "nozzle"?`},
	{"unknown fix", "fix: clear-flue", "fix: ①clear-flu",
		`base.yaml:①: cause "flue-blocked": there is no fix "clear-flu"; did you mean "clear-flue"?` + "\n" +
			`base.yaml:55:10: warning: fix "clear-flue": no cause is cured by it; use it or take it out`},
	{"unknown part", "{part: nozzle-085,", "{part: ①nozzle-85,",
		`base.yaml:①: fix "replace-nozzle": there is no part "nozzle-85"; did you mean "nozzle-085"?` + "\n" +
			`base.yaml:57:10: warning: part "nozzle-085": no fix uses it; use it or take it out`},
	{"unknown proof", "cures: 0.9, proof: proof-run", "cures: 0.9, proof: ①proof-rnu",
		`base.yaml:①: fix "clear-flue": there is no check "proof-rnu"; did you mean "proof-run"?`},
	{"unknown effect", "leads_to: {nozzle-worn: 0.1}", "leads_to: {①nozzle-torn: 0.1}",
		`base.yaml:①: cause "flue-blocked": there is no cause "nozzle-torn"; did you mean "nozzle-worn"?`},
	{"unknown cause of a row", "      flue-blocked: {low: 0.85}", "      ①flue-blokced: {low: 0.85}\n      flue-blocked: {low: 0.85}",
		`base.yaml:①: check "draft": there is no cause "flue-blokced"; did you mean "flue-blocked"?`},
	{"unknown state", `state: {power: "off"}`, `state: {①pwoer: "off"}`,
		`base.yaml:①: check "draft": there is no state "pwoer"; did you mean "power"?`},
	{"unknown value of a state", `state: {power: "off"}`, `state: {power: ①"of"}`,
		`base.yaml:①: check "draft": "of" is not a value of state "power"; did you mean "on"?`},
	{"unknown check kept back", "keeps_back: starting", "keeps_back: [proof-run, ①drafft]",
		`base.yaml:①: hold "relight-limit": there is no check "drafft"; did you mean "draft"?`},
	{"unknown check of until", "until: {check: draft,", "until: {check: ①drafts,",
		`base.yaml:①: hold "relight-limit": there is no check "drafts"; did you mean "draft"?`},
	{"family twice", "- id: draft\n    name: Measure the draft\n    families: [oil-furnace]", "- id: draft\n    name: Measure the draft\n    families: [oil-furnace, ①oil-furnace]",
		`base.yaml:①: check "draft": family "oil-furnace" is given twice; remove one of the two`},
	{"symptom and check of one id", "symptoms:\n  - id: smokes", "symptoms:\n  - id: ②draft",
		`base.yaml:24:9: warning: check "draft": a symptom has the same id, at base.yaml:②; give one of them another id`},

	// tables
	{"normally below 1", "normally: {ok: 0.9, low: 0.1}", "normally: ①{ok: 0.9, low: 0.08}",
		`base.yaml:①: check "draft": "normally" sums to 0.98, not to 1; make its probabilities sum to 1`},
	{"normally above 1", `normally: {"no": 0.95, "yes": 0.05}`, `normally: ①{"no": 0.95, "yes": 0.06}`,
		`base.yaml:①: symptom "smokes": "normally" sums to 1.01, not to 1; make its probabilities sum to 1`},
	{"row above 1", "{low: 0.85}", "①{low: 0.85, ok: 0.2}",
		`base.yaml:①: check "draft": the row for "flue-blocked" sums to 1.05, more than 1; make its probabilities sum to 1 or less`},
	{"row names all and leaves something", "{low: 0.85}", "①{low: 0.85, ok: 0.1}",
		`base.yaml:①: check "draft": the row for "flue-blocked" names every outcome and sums to 0.95; make its probabilities sum to 1`},
	{"rest goes nowhere", "normally: {ok: 0.9, low: 0.1}\n    if:\n      flue-blocked: {low: 0.85}", "normally: {low: 1}\n    if:\n      flue-blocked: ①{low: 0.5}",
		`base.yaml:①: check "draft": the row for "flue-blocked" leaves 0.5 to outcomes that "normally" gives no chance; make its probabilities sum to 1`},
	{"not an outcome", "{low: 0.85}", "{①lo: 0.85}",
		`base.yaml:①: check "draft": "lo" is not an outcome of this check; did you mean "low"?`},
	{"not an outcome of a symptom", `flue-blocked: {"yes": 0.8}`, `flue-blocked: {①maybe: 0.8}`,
		`base.yaml:①: symptom "smokes": "maybe" is not an outcome of this symptom; its outcomes are no, yes`},
	{"not an outcome of normally", `normally: {ok: 0.9, low: 0.1}`, `normally: {ok: 0.9, ①weak: 0.1}`,
		`base.yaml:①: check "draft": "weak" is not an outcome of this check; its outcomes are ok, low`},
	{"cause of another family", "families:\n  - {id: oil-furnace, name: Oil furnace, fuel: oil}", "families:\n  - {id: gas, name: Gas}\n  - {id: oil-furnace, name: Oil furnace, fuel: oil}\nsynonyms: [[a, b]]\n---\nschema: 1\n" +
		"causes:\n  - {id: gas-low, name: a, share: {gas: 1}, fix: gas-fix, basis: {kind: estimate}}\nfixes:\n  - {id: gas-fix, name: a, minutes: 1, cures: 1, basis: {kind: estimate}}\n" +
		"symptoms:\n  - id: s\n    name: s\n    families: [oil-furnace]\n    minutes: 1\n    normally: {\"no\": 1}\n    if: {①gas-low: {\"yes\": 1}, nozzle-worn: {\"yes\": 1}, flue-blocked: {\"yes\": 1}}\n    basis: {kind: estimate}\n---\nschema: 1",
		`base.yaml:12:5: warning: fix "gas-fix": no check proves that it worked; add proof: with the id of a check` + "\n" +
			`base.yaml:①: symptom "s": cause "gas-low" is in none of the families here (oil-furnace); remove the row, or give the cause a share or the symptom a family`},

	// outcomes and ranges
	{"outcome twice", "{id: fails, name: stops}", "{id: fails, name: stops}\n      - ①{id: ok, name: again}",
		`base.yaml:①: check "proof-run": outcome "ok" is given twice; rename or remove one of the two`},
	{"overlap", "from: -0.02", "from: ①-0.03",
		`base.yaml:①: check "draft": outcomes "ok" and "low" overlap at -0.03 inWC; make "to" and "from" meet`},
	{"overlap without a bound", "name: weak, from: -0.02", "name: weak, to: 0",
		`base.yaml:33:9: check "draft": outcomes "ok" and "low" overlap at -0.02 inWC; make "to" and "from" meet` + "\n" +
			`base.yaml:33:35: check "draft": readings over 0 inWC give no outcome; take "to" out of "low", or give the reading a max`},
	{"gap", "from: -0.02", "from: ①-0.01",
		`base.yaml:①: check "draft": outcomes "ok" and "low" leave a gap from -0.02 to -0.01 inWC; make "to" and "from" meet`},
	{"nothing below", "to: -0.02", "from: ①-0.1, to: -0.02",
		`base.yaml:①: check "draft": readings up to and at -0.1 inWC give no outcome; take "from" out of "ok", or give the reading a min above it`},
	{"least reading left out", "max: 0.1}\n    outcomes:\n      - {id: ok, name: good, to: -0.02}", "max: 0.1, min: -1}\n    outcomes:\n      - {id: ok, name: good, from: ①-1, to: -0.02}",
		`base.yaml:①: check "draft": readings up to and at -1 inWC give no outcome; take "from" out of "ok", or give the reading a min above it`},
	{"nothing above", "name: weak, from: -0.02", "name: weak, from: -0.02, to: ①0.05",
		`base.yaml:①: check "draft": readings over 0.05 inWC give no outcome; take "to" out of "low", or give the reading a max`},
	{"bounds swapped", "name: weak, from: -0.02}", "name: weak, from: -0.02, to: 0.06}\n      - ①{id: no-draft, name: none, from: 0.1, to: 0.06}",
		`base.yaml:①: check "draft": outcome "no-draft": "from" 0.1 is not below "to" 0.06; swap or mend them`},
	{"no range beside ranges", "name: weak, from: -0.02}", "name: weak, from: -0.02}\n      - ①{id: no-draft, name: none}",
		`base.yaml:①: check "draft": outcome "no-draft" has no range and the others have; give it "from", "to" or both`},
	{"reading without ranges", "starts: 1\n", "starts: 1\n    reading: ①{unit: s}\n",
		`base.yaml:①: check "proof-run": the check has a reading but its outcomes have no ranges; give each outcome "from", "to" or both`},
	{"ranges without a reading", "{id: fails, name: stops}", "①{id: fails, name: stops, from: 3}",
		`base.yaml:①: check "proof-run": outcome "fails" has a range but the check has no reading; add reading: {unit: ...}, or take "from" and "to" out`},
	{"least above greatest", "max: 0.1}", "max: 0.1, min: ①0.5}",
		`base.yaml:①: check "draft": "min" 0.5 is not below "max" 0.1; swap or mend them`},
	{"worked-out reading", "reading: {unit: inWC,", "reading: ①{value: a - b, inputs: {a: inWC, b: inWC}, unit: inWC,",
		`base.yaml:①: warning: check "draft": this version does not work readings out; say in the name and the steps how the value is worked out; people enter the worked-out value`},

	// causes
	{"no share in a family", "families:\n  - {id: oil", "families:\n  - ①{id: gas, name: Gas}\n  - {id: oil",
		`base.yaml:①: family "gas": no cause has a share above zero in it; give its causes shares`},
	{"circle of one", "leads_to: {nozzle-worn: 0.1}", "leads_to: {①flue-blocked: 0.1}",
		`base.yaml:①: cause "flue-blocked": causes lead to one another in a circle: flue-blocked -> flue-blocked; take one of these steps out`},
	{"circle of two", "share: {oil-furnace: 3}, ", "share: {oil-furnace: 3}, leads_to: {flue-blocked: 0.1}, ",
		`base.yaml:52:97: cause "flue-blocked": causes lead to one another in a circle: nozzle-worn -> flue-blocked -> nozzle-worn; take one of these steps out`},

	// states
	{"change of an unknown value", `{"on>off": 1, "off>on": 0.5}`, `{"on>off": 1, ①"off>in": 0.5}`,
		`base.yaml:①: state "power": "in" is not a value of state "power"; did you mean "on"?`},
	{"not a change", `{"on>off": 1, "off>on": 0.5}`, `{"on>off": 1, ①"off-on": 0.5}`,
		`base.yaml:①: state "power": "off-on" is not a change from one value to another; write it like "on>off"`},
	{"no way to a value", `{"on>off": 1, "off>on": 0.5}`, `①{"off>on": 0.5}`,
		`base.yaml:①: state "power": there is no way from "on" to "off", which check "draft" needs; add "on>off" with its minutes`},
	{"caution for an unknown value", `    minutes: {"on>off": 1, "off>on": 0.5}`, "    minutes: {\"on>off\": 1, \"off>on\": 0.5}\n    cautions: {①dead: Lock out.}",
		`base.yaml:①: state "power": "dead" is not a value of state "power"; its values are on, off`},
	{"value twice", `["on", "off"]`, `["on", "off", ①"on"]`,
		`base.yaml:①: state "power": value "on" is given twice; remove one of the two`},
	{"value with an arrow", `["on", "off"]`, `["on", "off", ①"a>b"]`,
		`base.yaml:①: state "power": value "a>b" holds a >; leave it out: > stands between the values of a change` + "\n" +
			`base.yaml:11:14: state "power": there is no way from "a>b" to "off", which check "draft" needs; add "a>b>off" with its minutes`},

	// holds
	{"two triggers", "when: {starts: 3}", "when: ①{starts: 3, check: proof-run}",
		`base.yaml:①: hold "relight-limit": "when" must name exactly one thing that brings the hold about; write one of {starts: 3}, {symptom: ..., outcome: ...} and {check: ..., outcome: ...}`},
	{"no trigger", "when: {starts: 3}", "when: ①{}",
		`base.yaml:①: hold "relight-limit": "when" must name exactly one thing that brings the hold about; write one of {starts: 3}, {symptom: ..., outcome: ...} and {check: ..., outcome: ...}`},
	{"outcome of the trigger", "when: {starts: 3}", `when: {symptom: smokes, outcome: ①ja}`,
		`base.yaml:①: hold "relight-limit": "ja" is not an outcome of symptom "smokes"; its outcomes are no, yes`},
	{"outcome of starts", "when: {starts: 3}", `when: {starts: 3, outcome: ①ok}`,
		`base.yaml:①: hold "relight-limit": burner starts have no outcome; take the outcome out`},
	{"outcome of until", "until: {check: draft, outcome: ok}", "until: {check: draft, outcome: ①fine}",
		`base.yaml:①: hold "relight-limit": "fine" is not an outcome of check "draft"; its outcomes are ok, low`},
	{"ends as it begins", "when: {starts: 3}\n    keeps_back: starting\n    until: {check", "when: {check: draft}\n    keeps_back: starting\n    until: ①{check",
		`base.yaml:①: hold "relight-limit": the finding that ends the hold brings it about; name another outcome in "when" or in "until"`},

	// fixes, parts, synonyms, basis
	{"no pieces", "qty: 1", "qty: ①0",
		`base.yaml:①: fix "replace-nozzle": no piece of part "nozzle-085" is used; write how many pieces, or take the part out`},
	{"part never used", "qty: 1, chance: 1", "qty: 1, chance: ①0",
		`base.yaml:①: fix "replace-nozzle": part "nozzle-085" is never used; write how often it is, from 0 to 1, or take the part out`},
	{"part twice", "{part: nozzle-085, qty: 1, chance: 1}", "{part: nozzle-085, qty: 1, chance: 1}, {part: ①nozzle-085, qty: 1, chance: 1}",
		`base.yaml:①: fix "replace-nozzle": part "nozzle-085" is given twice; put the two together: pieces in qty, how often in chance`},
	{"sizes needed too often", "{part: nozzle-085, qty: 1, chance: 1}", "{part: nozzle-085, qty: 1, chance: 0.7, one_of: ①size}, {part: ②nozzle-100, qty: 1, chance: 0.4, one_of: size}",
		`base.yaml:①: fix "replace-nozzle": the chances of the 2 parts of "size" sum to 1.1, but one of them is used at most; make them sum to 1 or less` + "\n" +
			`base.yaml:②: fix "replace-nozzle": there is no part "nozzle-100"; did you mean "nozzle-085"?`},
	{"sizes needed often enough", "{part: nozzle-085, qty: 1, chance: 1}", "{part: nozzle-085, qty: 1, chance: 0.7, one_of: size}, {part: ①nozzle-100, qty: 1, chance: 0.3, one_of: size}",
		`base.yaml:①: fix "replace-nozzle": there is no part "nozzle-100"; did you mean "nozzle-085"?`},
	{"no proof", "cures: 0.9, proof: proof-run, ", "cures: 0.9, ",
		`base.yaml:55:5: warning: fix "clear-flue": no check proves that it worked; add proof: with the id of a check`},
	{"term in two groups", "- [nozzle, spray tip]", "- ②[nozzle, spray tip]\n  - [jet, ①Spray  Tip]",
		`base.yaml:①: synonyms 2: term "Spray  Tip" stands in another group too, at base.yaml:②; put the two groups together or take it out of one`},
	{"term twice", "- [nozzle, spray tip]", "- [nozzle, spray tip, ①Nozzle]",
		`base.yaml:①: synonyms 1: term "Nozzle" is given twice; remove one of the two`},
	{"group of one", "- [nozzle, spray tip]", "- ①[nozzle]",
		`base.yaml:①: synonyms 1: a group needs two terms or more; add the terms that mean the same`},
	{"no basis", "outcomes:\n      - {id: ok, name: runs}\n      - {id: fails, name: stops}\n    normally: {ok: 0.9, fails: 0.1}\n    basis: {kind: estimate}\n", "outcomes:\n      - {id: ok, name: runs}\n      - {id: fails, name: stops}\n    normally: {ok: 0.9, fails: 0.1}\n",
		`base.yaml:38:5: check "proof-run": it has no basis; say where its numbers come from, such as basis: {kind: estimate}`},
	{"published without a source", `kind: published, source: "Handbook, p. 1"}`, `kind: published}`,
		`base.yaml:37:43: check "draft": a published basis names no source; add source: "..." with the work and page, or write kind: estimate`},

	// former ids
	{"former id in use", "{id: nozzle-worn, name: Nozzle worn,", "{id: nozzle-worn, was: [nozzle-old, ①flue-blocked], name: Nozzle worn,",
		`base.yaml:①: cause "nozzle-worn": "flue-blocked" is in use today and no former id; take it out, or rename the cause that has it`},
	{"own id as former id", "{id: nozzle-085, name: Nozzle,", "{id: nozzle-085, was: [①nozzle-085], name: Nozzle,",
		`base.yaml:①: part "nozzle-085": "nozzle-085" is in use today and no former id; take it out, or rename the part that has it`},
	{"former id claimed by two", "name: Replace the nozzle, minutes: 12, cures: 0.97, proof: proof-run, parts: [{part: nozzle-085, qty: 1, chance: 1}], basis: {kind: estimate}}\n  - {id: clear-flue, ",
		"was: [②swap-nozzle], name: Replace the nozzle, minutes: 12, cures: 0.97, proof: proof-run, parts: [{part: nozzle-085, qty: 1, chance: 1}], basis: {kind: estimate}}\n  - {id: clear-flue, was: [①swap-nozzle], ",
		`base.yaml:①: fix "clear-flue": "swap-nozzle" is claimed by fix "replace-nozzle" too, at base.yaml:②; leave it with the one that it became`},
	{"former id twice in an entry", "- id: power\n", "- id: power\n    was: [②mains, ①mains]\n",
		`base.yaml:①: state "power": "mains" is claimed by state "power" too, at base.yaml:②; leave it with the one that it became`},
	{"former id of the unlisted", "{id: nozzle-worn, name: Nozzle worn,", "{id: nozzle-worn, was: [①unlisted], name: Nozzle worn,",
		`base.yaml:①: cause "nozzle-worn": "unlisted" is no former id: it stands for what is not in the base; take it out`},
	{"former outcome in use", "{id: low, name: weak,", "{id: low, was: [none, ①ok], name: weak,",
		`base.yaml:①: check "draft": "ok" is in use today and no former id; take it out, or rename the outcome that has it`},
	{"former outcome claimed by two", "{id: ok, name: runs}\n      - {id: fails,", "{id: ok, was: [②good], name: runs}\n      - {id: fails, was: [①good],",
		`base.yaml:①: check "proof-run": "good" is claimed by outcome "ok" too, at base.yaml:②; leave it with the one that it became`},
	{"former ids of two lists", "  - id: smokes\n", "  - id: smokes\n    was: [nozzle-085, draft]\n", ""},

	// what people might have missed
	{"symptom of one cause", "      nozzle-worn: {\"yes\": 0.6}\n      flue", "      flue",
		`base.yaml:20:7: warning: symptom "smokes": only one cause in family "oil-furnace" makes it likelier; with fewer than two it tells nothing apart; add rows for the causes that bring it about`},
	{"check that says nothing", "  - id: proof-run\n", "  - ①id: look\n    name: Look\n    families: [oil-furnace]\n    minutes: 1\n    how: [Look.]\n    outcomes: [{id: ok, name: a}, {id: bad, name: b}]\n    normally: {ok: 0.9, bad: 0.1}\n    if: {flue-blocked: {bad: 0.11}}\n    basis: {kind: estimate}\n  - id: proof-run\n",
		`base.yaml:①: warning: check "look": its outcome never changes what to do: it tells no two causes with different fixes apart; give rows to causes for which it differs from "normally" by more than 0.02, or take the check out`},
	{"check without steps", "    how: [\"Start it.\"]\n", "",
		`base.yaml:38:5: warning: check "proof-run": it does not say how it is done; add how: with the steps`},
	{"start without cautions", "    cautions: [\"Stand aside.\"]\n", "",
		`base.yaml:38:5: warning: check "proof-run": it starts the burner and has no cautions; add cautions: with what to mind`},
	{"live without cautions", `state: {power: "off"}`, `state: {power: "on"}`,
		`base.yaml:24:5: warning: check "draft": it is done with the power on and has no cautions; add cautions: with what to mind`},
	{"causes alike", "causes:\n", "causes:\n  - ①{id: nozzle-wrong, name: Wrong nozzle, component: nozzle, share: {oil-furnace: 1}, fix: clear-flue, basis: {kind: estimate}}\n  - {id: spring-broken, name: Spring broken, component: nozzle, share: {oil-furnace: 1}, fix: replace-nozzle, basis: {kind: estimate}}\n",
		`base.yaml:①: warning: cause "nozzle-wrong": no symptom or check tells it from "spring-broken" in oil-furnace, and their fixes differ; add a check, or rows that differ by more than 0.05`},
}

func TestSenselessBases(t *testing.T) {
	for _, c := range senseless {
		t.Run(c.name, func(t *testing.T) {
			text, want := marked(changed(c.from, c.to), c.want)
			b, problems := loadText(text)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			if d := cmp.Diff(want, b.Lint().Error()); d != "" {
				t.Error("problems (-want +got):\n", d)
			}
		})
	}
}

// TestFamiliesApart: entries that belong to different families cannot work on
// each other.
func TestFamiliesApart(t *testing.T) {
	const gas = `---
schema: 1
families:
  - {id: gas, name: Gas furnace}
components:
  - {id: gas-valve, name: Gas valve, families: [gas]}
causes:
  - {id: valve-stuck, name: Valve stuck, component: gas-valve, share: {gas: 1}, fix: replace-valve, basis: {kind: estimate}}
fixes:
  - {id: replace-valve, name: Replace the valve, minutes: 30, cures: 1, proof: gas-run, basis: {kind: estimate}}
checks:
  - id: gas-run
    name: Watch one start
    families: [gas]
    minutes: 5
    how: [Start it.]
    outcomes: [{id: ok, name: runs}, {id: fails, name: stops}]
    normally: {ok: 1}
    basis: {kind: estimate}
holds:
  - {id: gas-hold, families: [gas], when: {check: gas-run, outcome: fails}, keeps_back: all, until: {check: gas-run, outcome: ok}, says: Stop., basis: {kind: estimate}}
`
	for _, c := range []struct{ name, from, to, want string }{
		{"as it is", "", "", ""},
		{"proof", "proof: gas-run", "proof: ①proof-run",
			`base.yaml:①: fix "replace-valve": check "proof-run" does not belong to family "gas", in which it would prove the fix of cause "valve-stuck"; name another proof or add the family to the check`},
		{"component", "component: gas-valve, share: {gas", "component: gas-valve, share: {①oil-furnace: 1, gas",
			`base.yaml:①: warning: cause "valve-stuck": component "gas-valve" is not listed for family "oil-furnace"; add the family to the component or take the share out` + "\n" +
				`base.yaml:77:80: fix "replace-valve": check "gas-run" does not belong to family "oil-furnace", in which it would prove the fix of cause "valve-stuck"; name another proof or add the family to the check`},
		{"effect", "fix: replace-valve", "leads_to: {①nozzle-worn: 0.1}, fix: replace-valve",
			`base.yaml:①: warning: cause "valve-stuck": it leads to cause "nozzle-worn", which has no share in any family of this one; take it out or give that cause a share`},
		{"hold that cannot end", "until: {check: gas-run", "until: {check: ①proof-run",
			`base.yaml:①: hold "gas-hold": it can never end in family "gas", which has no check "proof-run"; take the family out, or add it to the check`},
		{"hold that cannot begin", "when: {check: gas-run, outcome: fails}", "when: ①{symptom: smokes}",
			`base.yaml:①: warning: hold "gas-hold": it can never begin in family "gas", which has not got its smokes; take the family out or add it there`},
		{"hold that keeps nothing back", "keeps_back: all", "keeps_back: [①draft]",
			`base.yaml:①: warning: hold "gas-hold": check "draft" is in none of the families of this hold; take it out or add its family`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(gas, c.from) {
				t.Fatal("no such text")
			}
			text, want := marked(sample+strings.Replace(gas, c.from, c.to, 1), c.want)
			b, problems := loadText(text)
			if d := cmp.Diff(want, append(problems, b.Lint()...).Error()); d != "" {
				t.Error("problems (-want +got):\n", d)
			}
		})
	}
}

// TestReachIsBounded: at most maxReach causes come of one.
func TestReachIsBounded(t *testing.T) {
	for _, n := range []int{maxReach, maxReach + 1} {
		b := &Base{Schema: 1, Families: []Family{{ID: "oil", Name: "Oil"}}, Fixes: []Fix{{ID: "fix", Name: "Fix", Minutes: 1, Basis: Bases{{Kind: "estimate"}}}}}
		for i := range n + 1 {
			c := Cause{ID: fmt.Sprintf("cause-%d", i), Name: "Cause", Share: map[string]float64{"oil": 1}, Fix: "fix", Basis: Bases{{Kind: "estimate"}}}
			if i < n {
				c.LeadsTo = map[string]float64{fmt.Sprintf("cause-%d", i+1): 0.1}
			}
			b.Causes = append(b.Causes, c)
		}
		errs := b.Lint().Errors()
		switch {
		case n == maxReach && len(errs) > 0:
			t.Errorf("%d effects: %v", n, errs)
		case n > maxReach && (len(errs) != 1 || !strings.Contains(errs.Error(), `cause "cause-0": it brings along more than 12 other causes in family "oil"`)):
			t.Errorf("%d effects: %v", n, errs)
		}
	}
}

// TestLongCirclesAreShortened: a circle through hundreds of causes is named by
// its beginning and end.
func TestLongCirclesAreShortened(t *testing.T) {
	b := &Base{Families: []Family{{ID: "oil", Name: "Oil"}}, Fixes: []Fix{{ID: "fix", Name: "Fix", Minutes: 1, Basis: Bases{{Kind: "estimate"}}}}}
	const n = 500
	for i := range n {
		b.Causes = append(b.Causes, Cause{ID: fmt.Sprintf("c%d", i), Name: "Cause", Share: map[string]float64{"oil": 1}, Fix: "fix", Basis: Bases{{Kind: "estimate"}}, LeadsTo: map[string]float64{fmt.Sprintf("c%d", (i+1)%n): 0.1}})
	}
	want := "in a circle: c0 -> c1 -> c2 -> c3 -> c4 -> c5 -> ... -> c495 -> c496 -> c497 -> c498 -> c499 -> c0;"
	got := 0
	for _, p := range b.Lint() {
		if strings.Contains(p.Error(), want) {
			got++
		}
	}
	if got != 1 {
		t.Errorf("%d problems hold %q", got, want)
	}
}

// TestLintNeedsNoPlaces: a base that did not come from YAML is examined all the
// same, by the rules of the tags too, and whatever it holds nothing crashes.
func TestLintNeedsNoPlaces(t *testing.T) {
	b := &Base{Settings: Settings{Unlisted: 2}, Checks: []Check{{ID: "Bad Id", Minutes: -1, Skill: "expert", Normally: Table{{"ok", inf}}, Reading: &Reading{Min: new(-inf)},
		Outcomes: []Outcome{{From: new(inf), To: new(-inf)}}, If: Rows{{"x", nil}}}, {}, {}},
		Symptoms: []Symptom{{}}, States: []State{{}}, Holds: []Hold{{}}, Fixes: []Fix{{Parts: []PartUse{{}}}}, Causes: []Cause{{}}, Synonyms: [][]string{nil, {""}}}
	got := b.Lint().Error()
	for _, want := range []string{
		`base: check "Bad Id": "id" is "Bad Id", which is not an id`,
		`base: check "Bad Id": "minutes" is -1, less than the least allowed 0.01`,
		`base: check "Bad Id": "skill" is "expert", which is not one of the words allowed`,
		`base: check "Bad Id": "normally.ok" is not a finite number`,
		`base: check "Bad Id": "reading.min" is not a finite number`,
		`base: check "Bad Id": "reading.unit" is blank`,
		`base: check "Bad Id": there is no cause "x"`,
		`base: check "Bad Id": "if.x" holds nothing`,
		`base: check: the id is given twice`,
		`base: hold: "says" is blank`,
		`base: settings: "unlisted" is 2, more than the most allowed 1`,
		`base: synonyms 1: a group needs two terms or more`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("nothing says\n%s\nin\n%s", want, got)
		}
	}
	if b.index.checks != nil {
		t.Error("lint changed the base")
	}
}

// TestLintOrderAndCap: problems come in file order, and a flood of warnings
// does not wash away an error.
func TestLintOrderAndCap(t *testing.T) {
	var text strings.Builder
	text.WriteString("schema: 1\nparts:\n")
	for i := range 2000 {
		text.WriteString("  - {id: part-" + number(float64(i)) + ", name: a, basis: {kind: estimate}}\n")
	}
	text.WriteString("fixes:\n  - {id: a, name: a, minutes: 1, cures: 1, proof: none, basis: {kind: estimate}}\n")
	b, problems := loadText(text.String())
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	problems = b.Lint()
	if n := len(problems.Errors()); n != 1 {
		t.Errorf("%d errors", n)
	}
	if last := problems[len(problems)-1].Error(); len(problems.Warnings()) != maxProblems+1 || last != "base: warning: 1700 more warnings are not shown" {
		t.Errorf("%d warnings, the last is %q", len(problems.Warnings()), last)
	}
	placed := problems[:len(problems)-1]
	if !slices.IsSortedFunc(placed, func(a, b Problem) int { return a.Line - b.Line }) {
		t.Error("not in file order")
	}
}
