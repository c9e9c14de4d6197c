package kb

import (
	"bytes"
	"encoding/gob"
	"fmt"
)

// plainBase is a Base without its methods, which encoding/gob would call.
type plainBase Base

// gobBase is how a base is written by encoding/gob. Gob leaves out numbers that
// are zero, also behind a pointer, where zero and nothing are different bounds;
// Zero lists those.
type gobBase struct {
	Base plainBase
	Zero []zeroBound
}

// zeroBound is a bound of a check that is given and zero: of the reading when
// Outcome is -1, else of that outcome.
type zeroBound struct {
	Check, Outcome int
	Upper          bool
}

// GobEncode writes the base for encoding/gob, without the places where it was
// read.
func (b *Base) GobEncode() ([]byte, error) {
	out := gobBase{Base: plainBase(*b)}
	for i := range b.Checks {
		for o := -1; o < len(b.Checks[i].Outcomes); o++ {
			for _, upper := range []bool{false, true} {
				z := zeroBound{Check: i, Outcome: o, Upper: upper}
				if v := z.in(b); v != nil && *v != nil && **v == 0 {
					out.Zero = append(out.Zero, z)
				}
			}
		}
	}
	var buf bytes.Buffer
	err := gob.NewEncoder(&buf).Encode(out)
	return buf.Bytes(), err
}

// GobDecode reads what GobEncode wrote and rebuilds the look-ups.
func (b *Base) GobDecode(data []byte) error {
	var in gobBase
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&in); err != nil {
		return err
	}
	*b = Base(in.Base)
	for _, z := range in.Zero {
		v := z.in(b)
		if v == nil {
			return fmt.Errorf("a base in gob form has no check %d with outcome %d; write it anew from the YAML", z.Check, z.Outcome)
		}
		*v = new(float64)
	}
	b.Reindex()
	return nil
}

// in returns the bound in a base, nil when the base has no such check, outcome
// or reading.
func (z zeroBound) in(b *Base) **float64 {
	if z.Check < 0 || z.Check >= len(b.Checks) {
		return nil
	}
	c := &b.Checks[z.Check]
	switch {
	case z.Outcome >= len(c.Outcomes) || z.Outcome < -1 || z.Outcome == -1 && c.Reading == nil:
		return nil
	case z.Outcome == -1 && z.Upper:
		return &c.Reading.Max
	case z.Outcome == -1:
		return &c.Reading.Min
	case z.Upper:
		return &c.Outcomes[z.Outcome].To
	}
	return &c.Outcomes[z.Outcome].From
}
