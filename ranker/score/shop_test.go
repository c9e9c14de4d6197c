package score

import (
	"fmt"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// potters is an invented base of two families that share a check. Ash leads to
// a plugged flue; two causes share a fix.
func potters() *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: "kiln"}, {ID: "oven"}},
		States: []kb.State{{ID: "power", Values: []string{"on", "off"}, Minutes: map[string]float64{"on>off": 1, "off>on": 1}}},
		Fixes:  []kb.Fix{{ID: "clean", Minutes: 10, Cures: 0.9}, {ID: "replace", Minutes: 20, Cures: 0.95}, {ID: "adjust", Minutes: 5, Cures: 0.8}},
	}
	both := []string{"kiln", "oven"}
	b.Causes = []kb.Cause{
		{ID: "ash", Share: map[string]float64{"kiln": 5, "oven": 2}, Fix: "clean", LeadsTo: map[string]float64{"flue": 0.3}},
		{ID: "flue", Share: map[string]float64{"kiln": 3, "oven": 1}, Fix: "clean"},
		{ID: "coil", Share: map[string]float64{"kiln": 2, "oven": 4}, Fix: "replace"},
		{ID: "door", Share: map[string]float64{"kiln": 1}, Fix: "adjust"},
		{ID: "clock", Share: map[string]float64{"oven": 3}, Fix: "adjust"},
	}
	table := func(no float64) kb.Table { return kb.Table{{Outcome: kb.No, P: no}, {Outcome: kb.Yes, P: 1 - no}} }
	b.Symptoms = []kb.Symptom{
		{ID: "cold", Families: both, Minutes: 1, Normally: table(0.9), If: kb.Rows{{Cause: "coil", Table: table(0.1)}, {Cause: "door", Table: table(0.4)}}},
		{ID: "smoke", Families: both, Minutes: 1, Normally: table(0.95), If: kb.Rows{{Cause: "ash", Table: table(0.5)}, {Cause: "flue", Table: table(0.2)}}},
	}
	low, high := 5.0, 20.0
	b.Checks = []kb.Check{
		{ID: "draft", Families: both, Minutes: 4, Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "weak"}, {ID: "none"}},
			Normally: kb.Table{{Outcome: "ok", P: 0.9}, {Outcome: "weak", P: 0.08}, {Outcome: "none", P: 0.02}},
			If:       kb.Rows{{Cause: "flue", Table: kb.Table{{Outcome: "none", P: 0.7}}}, {Cause: "ash", Table: kb.Table{{Outcome: "weak", P: 0.6}}}}},
		{ID: "ohms", Families: both, Minutes: 6, State: map[string]string{"power": "off"}, Reading: &kb.Reading{Unit: "ohm", Tolerance: kb.Tolerance{Value: 1}},
			Outcomes: []kb.Outcome{{ID: "ok", To: &low}, {ID: "high", From: &low, To: &high}, {ID: "open", From: &high}},
			Normally: kb.Table{{Outcome: "ok", P: 0.95}, {Outcome: "high", P: 0.04}, {Outcome: "open", P: 0.01}},
			If:       kb.Rows{{Cause: "coil", Table: kb.Table{{Outcome: "open", P: 0.8}}}}},
		{ID: "timer", Families: []string{"oven"}, Minutes: 2, Outcomes: []kb.Outcome{{ID: "ok"}, {ID: "dead"}},
			Normally: kb.Table{{Outcome: "ok", P: 0.97}, {Outcome: "dead", P: 0.03}}, If: kb.Rows{{Cause: "clock", Table: kb.Table{{Outcome: "dead", P: 0.9}}}}},
	}
	b.Reindex()
	return b
}

var opening = time.Date(2024, time.December, 1, 8, 0, 0, 0, time.UTC)

func saw(kind, id, outcome string) kb.Act {
	return kb.Act{Finding: &kb.Finding{Kind: kind, ID: id, Outcome: outcome}}
}

func closedJob(id, family string, opened time.Time, hours int, causes []string, acts ...kb.Act) *kb.Job {
	return &kb.Job{ID: id, Family: family, Opened: opened, Acts: acts,
		Closing: &kb.Closing{At: opened.Add(time.Duration(hours) * time.Hour), Causes: causes, Confidence: 1, Minutes: 60}}
}

// drawJob draws a closed job: any causes, any findings, at a time that others
// share now and then.
func drawJob(t *rapid.T, id string) *kb.Job {
	family := rapid.SampledFrom([]string{"kiln", "kiln", "oven"}).Draw(t, "family")
	causes := []string{"ash", "flue", "coil", kb.Unlisted}
	checks := []kb.Act{saw(kb.KindSymptom, "cold", kb.Yes), saw(kb.KindSymptom, "smoke", kb.No), saw(kb.KindCheck, "draft", "weak"), saw(kb.KindCheck, "draft", "ok"),
		saw(kb.KindCheck, "ohms", "open"), {Finding: &kb.Finding{Kind: kb.KindCheck, ID: "ohms", Reading: new(rapid.Float64Range(0, 40).Draw(t, "ohms"))}},
		{Tried: "clean"}, {Tried: "replace"}, {State: map[string]string{"power": "off"}}, saw(kb.KindCheck, "gone", "ok"), saw(kb.KindCheck, "draft", "gone")}
	if family == "kiln" {
		causes = append(causes, "door")
	} else {
		causes = append(causes, "clock")
		checks = append(checks, saw(kb.KindCheck, "timer", "dead"))
	}
	opened := opening.Add(time.Duration(rapid.IntRange(0, 60).Draw(t, "opened")) * 12 * time.Hour)
	j := closedJob(id, family, opened, 12*rapid.IntRange(0, 4).Draw(t, "open for"),
		rapid.SliceOfNDistinct(rapid.SampledFrom(causes), 1, 2, func(s string) string { return s }).Draw(t, "causes"),
		rapid.SliceOfN(rapid.SampledFrom(checks), 0, 7).Draw(t, "acts")...)
	j.Model = rapid.SampledFrom([]string{"", "m-1", "m-2"}).Draw(t, "model")
	j.Closing.Confidence = rapid.SampledFrom([]float64{1, 1, 0.6}).Draw(t, "confidence")
	j.Closing.Minutes = rapid.SampledFrom([]float64{0, 45, 120}).Draw(t, "minutes")
	j.Closing.OneOf = len(j.Closing.Causes) > 1 && rapid.IntRange(0, 3).Draw(t, "one of") == 0
	return j
}

// drawCases draws jobs, some of which came back as another of them.
func drawCases(t *rapid.T, prefix string, most int) []Case {
	var cases []Case
	for i := range rapid.IntRange(1, most).Draw(t, "jobs") {
		c := Case{Job: drawJob(t, fmt.Sprintf("%s%02d", prefix, i))}
		for _, earlier := range cases {
			if c.Back == nil && !earlier.Job.Opened.Before(c.Job.Closing.At) && rapid.IntRange(0, 2).Draw(t, "came back") == 0 {
				c.Back = earlier.Job
			}
		}
		cases = append(cases, c)
	}
	return cases
}
