package kb

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
)

// UnmarshalJSON reads a base as encoding/json writes it. Settings that are left
// out start from DefaultSettings. Lint tells whether the base makes sense.
func (b *Base) UnmarshalJSON(data []byte) error {
	type plain Base // without this method
	fresh := plain{Settings: DefaultSettings()}
	if err := json.Unmarshal(data, &fresh); err != nil {
		return err
	}
	*b = Base(fresh)
	b.Reindex()
	return nil
}

// UnmarshalJSON reads a table from an object, outcomes in the order written.
func (t *Table) UnmarshalJSON(data []byte) error {
	*t = nil
	return unmarshalOrdered(data, func(outcome string, value json.RawMessage) error {
		p := Prob{Outcome: outcome}
		*t = append(*t, p)
		return json.Unmarshal(value, &(*t)[len(*t)-1].P)
	})
}

// UnmarshalJSON reads rows from an object keyed by cause, in the order written.
func (r *Rows) UnmarshalJSON(data []byte) error {
	*r = nil
	return unmarshalOrdered(data, func(cause string, value json.RawMessage) error {
		*r = append(*r, Row{Cause: cause})
		return json.Unmarshal(value, &(*r)[len(*r)-1].Table)
	})
}

// unmarshalOrdered calls add for each member of an object in the order written.
// A name that stands twice is an error: which of the two was meant?
func unmarshalOrdered(data []byte, add func(name string, value json.RawMessage) error) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	if start, err := dec.Token(); err != nil {
		return err
	} else if start == nil {
		return nil // null leaves the value empty
	} else if start != json.Delim('{') {
		return fmt.Errorf("expected an object, got %v; write {...}", start)
	}
	seen := map[string]bool{}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return err
		}
		name := token.(string) // a member of an object begins with its name
		if seen[name] {
			return fmt.Errorf("%q is given twice; remove one of the two", name)
		}
		seen[name] = true
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return err
		}
		if err := add(name, value); err != nil {
			return fmt.Errorf("%q: %w", name, err)
		}
	}
	return nil
}

// UnmarshalJSON reads one basis or a list of them.
func (b *Bases) UnmarshalJSON(data []byte) error {
	var list []Basis
	if bytes.HasPrefix(bytes.TrimSpace(data), []byte("{")) {
		list = make([]Basis, 1)
		if err := json.Unmarshal(data, &list[0]); err != nil {
			return err
		}
	} else if err := json.Unmarshal(data, &list); err != nil {
		return err
	}
	*b = list
	return nil
}

// UnmarshalJSON reads a number, or text such as "2%".
func (t *Tolerance) UnmarshalJSON(data []byte) error {
	*t = Tolerance{}
	if isNull(data) {
		return nil
	}
	var text string
	if json.Unmarshal(data, &text) != nil {
		return json.Unmarshal(data, &t.Value)
	}
	parsed, err := ParseTolerance(text)
	if err != nil {
		return err
	}
	*t = parsed
	return nil
}

// UnmarshalJSON reads "all", "starting" or a list of checks.
func (k *KeepsBack) UnmarshalJSON(data []byte) error {
	*k = KeepsBack{}
	if isNull(data) {
		return nil
	}
	var word string
	if json.Unmarshal(data, &word) != nil {
		return json.Unmarshal(data, &k.Checks)
	}
	switch word {
	case keepsAll:
		k.All = true
	case keepsStarting:
		k.Starting = true
	default:
		return errors.New(`a hold keeps back "starting", "all" or a list of checks; write one of these`)
	}
	return nil
}

func isNull(data []byte) bool { return string(bytes.TrimSpace(data)) == "null" }
