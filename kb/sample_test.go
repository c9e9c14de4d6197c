package kb

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// sample is a small base of our own that loads and lints without a problem.
// Tests break one thing at a time in it.
const sample = `schema: 1
settings: {strength: 20, floor: 0.001}
families:
  - {id: oil-furnace, name: Oil furnace, fuel: oil}
components:
  - {id: nozzle, name: Nozzle, families: [oil-furnace]}
  - {id: flue, name: Flue, families: [oil-furnace]}
states:
  - id: power
    values: ["on", "off"]
    minutes: {"on>off": 1, "off>on": 0.5}
    basis: {kind: estimate}
symptoms:
  - id: smokes
    name: Smokes
    families: [oil-furnace]
    minutes: 0.5
    normally: {"no": 0.95, "yes": 0.05}
    if:
      nozzle-worn: {"yes": 0.6}
      flue-blocked: {"yes": 0.8}
    basis: {kind: estimate}
checks:
  - id: draft
    name: Measure the draft
    families: [oil-furnace]
    minutes: 4
    state: {power: "off"}
    how: ["Zero the gauge.", "Read it in the flue."]
    reading: {unit: inWC, tolerance: 2%, max: 0.1}
    outcomes:
      - {id: ok, name: good, to: -0.02}
      - {id: low, name: weak, from: -0.02}
    normally: {ok: 0.9, low: 0.1}
    if:
      flue-blocked: {low: 0.85}
    basis: [{of: tables, kind: estimate}, {of: method, kind: published, source: "Handbook, p. 1"}]
  - id: proof-run
    name: Watch one start
    families: [oil-furnace]
    minutes: 5
    starts: 1
    how: ["Start it."]
    cautions: ["Stand aside."]
    outcomes:
      - {id: ok, name: runs}
      - {id: fails, name: stops}
    normally: {ok: 0.9, fails: 0.1}
    basis: {kind: estimate}
causes:
  - {id: nozzle-worn, name: Nozzle worn, component: nozzle, share: {oil-furnace: 3}, fix: replace-nozzle, basis: {kind: estimate}}
  - {id: flue-blocked, name: Flue blocked, component: flue, share: {oil-furnace: 1}, leads_to: {nozzle-worn: 0.1}, fix: clear-flue, basis: {kind: estimate}}
fixes:
  - {id: replace-nozzle, name: Replace the nozzle, minutes: 12, cures: 0.97, proof: proof-run, parts: [{part: nozzle-085, qty: 1, chance: 1}], basis: {kind: estimate}}
  - {id: clear-flue, name: Clear the flue, minutes: 45, cures: 0.9, proof: proof-run, basis: {kind: estimate}}
parts:
  - {id: nozzle-085, name: Nozzle, unit_cost: 9.5, pack: 1, critical: true, basis: {kind: estimate}}
holds:
  - id: relight-limit
    families: [oil-furnace]
    when: {starts: 3}
    keeps_back: starting
    until: {check: draft, outcome: ok}
    says: Look into the chamber first.
    basis: {kind: estimate}
synonyms:
  - [nozzle, spray tip]
`

// changed is the sample with one text replaced by another; it must hold it.
func changed(from, to string) string {
	if !strings.Contains(sample, from) {
		panic("the sample does not hold: " + from)
	}
	return strings.Replace(sample, from, to, 1)
}

// marked takes the signs ① and ② out of a text and writes their line and column
// in place of them into the message.
func marked(text, message string) (string, string) {
	for {
		i := strings.IndexAny(text, "①②")
		if i < 0 {
			return text, message
		}
		_, size := utf8.DecodeRuneInString(text[i:])
		sign := text[i : i+size]
		line := 1 + strings.Count(text[:i], "\n")
		col := 1 + utf8.RuneCountInString(text[1+strings.LastIndex(text[:i], "\n"):i])
		message = strings.ReplaceAll(message, sign, fmt.Sprintf("%d:%d", line, col))
		text = text[:i] + text[i+size:]
	}
}
