package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sootsayer/kb"
)

// known tells why an entry of our own cannot stand in a column, as far as the
// base alone can tell: whether it goes with a job's family shows with the row.
func (m *Mapping) known(col int, entry string) error {
	if isNumber[col] {
		if _, err := strconv.ParseFloat(entry, 64); err != nil {
			return fmt.Errorf("%q is not a number", entry)
		}
		return nil
	}
	entry, _, _ = strings.Cut(entry, minutesMark)
	id, outcome, given := strings.Cut(entry, "=")
	id = strings.TrimSpace(id)
	switch {
	case idList[col] == "" || col == colParts && id == noneUsed:
		return nil
	case col == colCauses:
		for cause := range strings.SplitSeq(id, candidatesMark) {
			if _, ok := m.base.Cause(cause); !ok && cause != kb.Unlisted {
				return kb.UnknownID("cause", cause, m.base.IDs("causes"))
			}
		}
		return nil
	}
	have := m.base.IDs(idList[col])
	if !slices.Contains(have, id) && !(col == colTried && given) {
		return kb.UnknownID(singular(col), id, have)
	}
	if given && col != colParts {
		return m.knownFinding(id, entry, outcome)
	}
	return nil
}

// knownFinding looks at a finding with any family that has its check or symptom.
func (m *Mapping) knownFinding(id, entry, outcome string) error {
	family := ""
	if c, ok := m.base.Check(id); ok {
		family = c.Families[0]
	} else if s, ok := m.base.Symptom(id); ok {
		family = s.Families[0]
	} else {
		return kb.UnknownID("check or symptom", id, append(m.base.IDs("checks"), m.base.IDs("symptoms")...))
	}
	if outcome == "" {
		return fmt.Errorf("%q says no result", entry)
	}
	_, err := m.base.ParseFinding("", family, entry)
	return err
}

// singular is what one entry of a column is called.
func singular(col int) string {
	switch idList[col] {
	case "families":
		return "family"
	case "causes":
		return "cause"
	case "fixes":
		return "fix"
	}
	return strings.TrimSuffix(idList[col], "s")
}
