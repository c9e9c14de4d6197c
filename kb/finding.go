package kb

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ParseFinding reads what a person recorded: "CHECK=OUTCOME", "CHECK=1650" or
// "CHECK=1650 ohm" where the check yields a reading, "CHECK=a:0.7,b:0.3" where
// they were not sure, and for symptoms "SYMPTOM" (yes), "SYMPTOM=no". Kind
// limits it to symptoms or checks; "" looks among checks, then symptoms. Former
// ids are understood, and the finding is in today's.
func (b *Base) ParseFinding(kind, family, text string) (Finding, error) {
	id, value, given := strings.Cut(text, "=")
	id, value = strings.TrimSpace(id), strings.TrimSpace(value)
	if kind != KindSymptom {
		if c, ok := b.Check(id); ok {
			if !In(c.Families, family) {
				return Finding{}, fmt.Errorf("check %q does not belong to family %q; see: sootsayer base list checks --family %s", id, family, family)
			}
			if !given || value == "" {
				return Finding{}, fmt.Errorf("check %q needs a result: %s=%s", id, id, strings.Join(c.outcomeIDs(), "|"))
			}
			return c.parse(value)
		}
	}
	if kind != KindCheck {
		if s, ok := b.Symptom(id); ok {
			if !In(s.Families, family) {
				return Finding{}, fmt.Errorf("symptom %q does not belong to family %q; see: sootsayer base list symptoms --family %s", id, family, family)
			}
			if !given {
				value = Yes
			}
			return parseOutcome(Finding{Kind: KindSymptom, ID: id}, value, []string{No, Yes}, nil)
		}
	}
	if now := b.observableOfToday(kind, id); now != id {
		if given {
			now += "=" + value
		}
		return b.ParseFinding(kind, family, now)
	}
	return Finding{}, b.unknownObservable(kind, family, id)
}

// observableOfToday returns the present id of a check or symptom that had the
// id before, else the id itself.
func (b *Base) observableOfToday(kind, id string) string {
	if now := b.Today("checks", id); now != id && kind != KindSymptom {
		return now
	}
	if kind != KindCheck {
		return b.Today("symptoms", id)
	}
	return id
}

func (b *Base) unknownObservable(kind, family, id string) error {
	var have []string
	if kind != KindSymptom {
		for i := range b.Checks {
			if In(b.Checks[i].Families, family) {
				have = append(have, b.Checks[i].ID)
			}
		}
	}
	if kind != KindCheck {
		for i := range b.Symptoms {
			if In(b.Symptoms[i].Families, family) {
				have = append(have, b.Symptoms[i].ID)
			}
		}
	}
	if kind == "" {
		kind = "check or symptom"
	}
	return UnknownID(kind, id, have)
}

func (c *Check) outcomeIDs() []string {
	return ids(c.Outcomes, func(o Outcome) string { return o.ID })
}

func (c *Check) parse(value string) (Finding, error) {
	f := Finding{Kind: KindCheck, ID: c.ID}
	former := c.formerOutcomes()
	_, named := former[value]
	if c.Reading != nil && !named && !slices.Contains(c.outcomeIDs(), value) && !strings.Contains(value, ":") {
		r, err := c.parseReading(value)
		if err != nil {
			return f, err
		}
		f.Reading = &r
		return f, nil
	}
	return parseOutcome(f, value, c.outcomeIDs(), former)
}

// parseReading reads a number, with or without the check's own unit.
func (c *Check) parseReading(value string) (float64, error) {
	number := strings.TrimSpace(strings.TrimSuffix(value, c.Reading.Unit))
	r, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(r) || math.IsInf(r, 0) {
		return 0, fmt.Errorf("check %q: %q is not a reading in %s; give a number such as %s=%s, or one of %s",
			c.ID, value, c.Reading.Unit, c.ID, c.exampleReading(), strings.Join(c.outcomeIDs(), ", "))
	}
	return r, c.CheckReading(r)
}

// CheckReading refuses a reading that is physically impossible: outside the
// reading's own min and max, or below zero in a unit that has no negative.
func (c *Check) CheckReading(r float64) error {
	lo, hi := c.Reading.Limits()
	if r < lo || r > hi {
		return fmt.Errorf("check %q: %s %s cannot be; a reading in %s lies between %s and %s - read the meter again",
			c.ID, number(r), c.Reading.Unit, c.Reading.Unit, number(lo), number(hi))
	}
	return nil
}

// number writes a number as people do.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func (c *Check) exampleReading() string {
	for _, o := range c.Outcomes {
		if o.To != nil {
			return number(*o.To)
		}
		if o.From != nil {
			return number(*o.From)
		}
	}
	return "1"
}

// Limits returns the least and greatest reading that can be.
func (r *Reading) Limits() (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if slices.Contains(neverNegative, r.Unit) {
		lo = 0
	}
	if r.Min != nil {
		lo = *r.Min
	}
	if r.Max != nil {
		hi = *r.Max
	}
	return lo, hi
}

// neverNegative are the units in which a service meter shows no negative
// reading; draft (inWC), temperature and microamps may be negative.
var neverNegative = []string{"ohm", "kohm", "Mohm", "V", "A", "W", "Hz", "psi", "inHg", "s", "min", "%", "ppm", "uF", "in", "ft", "gph", "rpm", "gal", "cfm"}

// parseOutcome reads an outcome, or chances of several; former maps what
// outcomes were called before to their ids.
func parseOutcome(f Finding, value string, outcomes []string, former map[string]string) (Finding, error) {
	if !strings.Contains(value, ":") {
		if now, ok := former[value]; ok {
			value = now
		}
		if !slices.Contains(outcomes, value) {
			return f, UnknownID("outcome of "+f.ID, value, outcomes)
		}
		f.Outcome = value
		return f, nil
	}
	f.Weights = make(map[string]float64)
	var sum float64
	for pair := range strings.SplitSeq(value, ",") {
		out, chance, _ := strings.Cut(pair, ":")
		out = strings.TrimSpace(out)
		if now, ok := former[out]; ok {
			out = now
		}
		if !slices.Contains(outcomes, out) {
			return f, UnknownID("outcome of "+f.ID, out, outcomes)
		}
		p, err := strconv.ParseFloat(strings.TrimSpace(chance), 64)
		if err != nil || !(p >= 0 && p <= 1) {
			return f, fmt.Errorf("%s: chance %q of outcome %q is not between 0 and 1; write %s=%s:0.7,%s:0.3", f.ID, chance, out, f.ID, outcomes[0], outcomes[1])
		}
		f.Weights[out] += p
		sum += p
	}
	if math.Abs(sum-1) > 1e-6 {
		return f, fmt.Errorf("%s: the chances sum to %s, not to 1", f.ID, number(sum))
	}
	return f, nil
}

// UnknownIDError says that an id is not among those known, and which is nearest.
type UnknownIDError struct {
	What, ID, Nearest string
	Have              []string
}

// Error names the id and the nearest one, or the first few known.
func (e *UnknownIDError) Error() string {
	if e.Nearest != "" {
		return fmt.Sprintf("no %s %q; did you mean %q?", e.What, e.ID, e.Nearest)
	}
	if n := len(e.Have); n > 0 && n <= 12 {
		return fmt.Sprintf("no %s %q; there are: %s", e.What, e.ID, strings.Join(e.Have, ", "))
	}
	return fmt.Sprintf("no %s %q; what there is: sootsayer base list", e.What, e.ID)
}

// UnknownID returns an *UnknownIDError for an id that is not in have.
func UnknownID(what, id string, have []string) error {
	near, _ := Nearest(id, have)
	return &UnknownIDError{What: what, ID: id, Nearest: near, Have: have}
}
