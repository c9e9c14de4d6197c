package kb

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Table is a list of outcome probabilities in the order written. Outcomes it
// leaves out share what is left as 'normally' spreads it.
type Table []Prob

// Prob is the probability of one outcome.
type Prob struct {
	Outcome string
	P       float64
}

// P returns the probability written for an outcome and whether one is.
func (t Table) P(outcome string) (float64, bool) {
	for _, p := range t {
		if p.Outcome == outcome {
			return p.P, true
		}
	}
	return 0, false
}

// Rows are the rows of an `if` table in the order written.
type Rows []Row

// Row is the outcome table given one cause alone.
type Row struct {
	Cause string
	Table Table
}

// MarshalJSON writes the table as an object, outcomes in the order written.
func (t Table) MarshalJSON() ([]byte, error) {
	return marshalOrdered(len(t), func(i int) (string, any) { return t[i].Outcome, t[i].P })
}

// MarshalJSON writes the rows as an object keyed by cause, in the order written.
func (r Rows) MarshalJSON() ([]byte, error) {
	return marshalOrdered(len(r), func(i int) (string, any) { return r[i].Cause, r[i].Table })
}

func marshalOrdered(n int, at func(int) (string, any)) ([]byte, error) {
	var b strings.Builder
	b.WriteByte('{')
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		k, v := at(i)
		key, err := json.Marshal(k)
		if err != nil {
			return nil, err
		}
		val, err := json.Marshal(v)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(val)
	}
	b.WriteByte('}')
	return []byte(b.String()), nil
}

// Bases says where the numbers of an entry come from. It is written as one
// mapping or as a list of mappings.
type Bases []Basis

// Basis is the source of some numbers of an entry; Of is empty for all of them.
type Basis struct {
	Of     string `json:"of,omitempty" kb:"enum=thresholds|method|tables|minutes|share|leads_to|cures|price|lead|timing" doc:"which numbers; all of them when left out"`
	Kind   string `json:"kind" kb:"required,enum=common-practice|published|estimate"`
	Grade  string `json:"grade,omitempty" kb:"enum=REG|STD|GOV|HB|COMP|TRADE|MEM|CP" doc:"law, standard, government, handbook, computed, trade page, memory, common practice"`
	Source string `json:"source,omitempty"`
}

// MarshalJSON writes a single basis as an object and several as a list.
func (b Bases) MarshalJSON() ([]byte, error) {
	if len(b) == 1 {
		return json.Marshal(b[0])
	}
	return json.Marshal([]Basis(b))
}

// Tolerance is the plus or minus of a reading at 95 %, absolute in the
// reading's unit or a percentage of the reading.
type Tolerance struct {
	Value   float64
	Percent bool
}

// StandardError returns half the tolerance at the given reading, in its unit.
func (t Tolerance) StandardError(reading float64) float64 {
	if t.Percent {
		return math.Abs(reading) * t.Value / 100 / 2
	}
	return t.Value / 2
}

// String writes the tolerance as it stands in YAML.
func (t Tolerance) String() string {
	s := strconv.FormatFloat(t.Value, 'f', -1, 64)
	if t.Percent {
		return s + "%"
	}
	return s
}

// MarshalJSON writes a number, or text such as "2%".
func (t Tolerance) MarshalJSON() ([]byte, error) {
	if t.Percent {
		return json.Marshal(t.String())
	}
	return json.Marshal(t.Value)
}

// ParseTolerance reads "2%" or "0.5".
func ParseTolerance(s string) (Tolerance, error) {
	num, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(num), 64)
	if err != nil || v < 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return Tolerance{}, fmt.Errorf("tolerance %q is not a number of the reading's unit or a percentage such as 2%%", s)
	}
	return Tolerance{Value: v, Percent: percent}, nil
}

// KeepsBack says which checks a hold keeps back: all of them, those that start
// the burner, or the listed ones.
type KeepsBack struct {
	All, Starting bool
	Checks        []string
}

// MarshalJSON writes "all", "starting" or the list of checks.
func (k KeepsBack) MarshalJSON() ([]byte, error) {
	switch {
	case k.All:
		return json.Marshal("all")
	case k.Starting:
		return json.Marshal("starting")
	}
	return json.Marshal(k.Checks)
}
