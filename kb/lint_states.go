package kb

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// states examines states, and what checks and fixes ask of them.
func (l *linter) states() {
	each(l.b.States, l.state)
	asked := map[[2]string]entry{} // a state's value -> the first entry that needs it
	each(l.b.Checks, func(c *Check) { l.requirement(c, c.State, asked) })
	each(l.b.Fixes, func(f *Fix) { l.requirement(f, f.State, asked) })
	each(l.b.States, func(s *State) { l.reachable(s, asked) })
}

func (l *linter) state(s *State) {
	l.distinct(s, s.Values, "values", "value")
	for i, v := range s.Values {
		if strings.Contains(v, ">") {
			l.wrong(s, valueAt("values", strconv.Itoa(i)), fmt.Sprintf("value %q holds a >", v), "leave it out: > stands between the values of a change")
		}
	}
	for _, change := range sortedKeys(s.Minutes) {
		from, to, ok := strings.Cut(change, ">")
		switch {
		case !ok || from == to:
			l.wrong(s, keyAt("minutes", change), fmt.Sprintf("%q is not a change from one value to another", change), fmt.Sprintf("write it like %q", s.exampleChange()))
		case !slices.Contains(s.Values, from):
			l.noValue(s, keyAt("minutes", change), s, from)
		case !slices.Contains(s.Values, to):
			l.noValue(s, keyAt("minutes", change), s, to)
		}
	}
	for _, v := range sortedKeys(s.Cautions) {
		if !slices.Contains(s.Values, v) {
			l.noValue(s, keyAt("cautions", v), s, v)
		}
	}
}

func (s *State) exampleChange() string {
	if len(s.Values) < 2 {
		return "on>off"
	}
	return s.Values[0] + ">" + s.Values[1]
}

func (l *linter) noValue(e entry, at place, s *State, value string) {
	l.wrong(e, at, fmt.Sprintf("%q is not a value of state %q", value, s.ID), didYouMean(value, s.Values, "its values are "+strings.Join(s.Values, ", ")))
}

// requirement examines the states that an entry needs and notes them in asked.
func (l *linter) requirement(e entry, need map[string]string, asked map[[2]string]entry) {
	for _, id := range sortedKeys(need) {
		value := need[id]
		s, ok := l.b.State(id)
		switch {
		case !ok:
			l.unknown(e, keyAt("state", id), "states", id)
		case !slices.Contains(s.Values, value):
			l.noValue(e, valueAt("state", id), s, value)
		case asked[[2]string{id, value}] == nil:
			asked[[2]string{id, value}] = e
		}
	}
}

// reachable reports a value that something needs and that some other value
// does not lead to: a job that stands there could not go on.
func (l *linter) reachable(s *State, asked map[[2]string]entry) {
	into := map[string][]string{}
	for change := range s.Minutes {
		from, to, _ := strings.Cut(change, ">")
		into[to] = append(into[to], from)
	}
	for _, to := range s.Values {
		who := asked[[2]string{s.ID, to}]
		if who == nil {
			continue
		}
		reached := map[string]bool{to: true}
		for queue := []string{to}; len(queue) > 0; queue = queue[1:] {
			for _, from := range into[queue[0]] {
				if !reached[from] {
					reached[from] = true
					queue = append(queue, from)
				}
			}
		}
		for _, from := range s.Values {
			if !reached[from] {
				l.wrong(s, valueAt("minutes"), fmt.Sprintf("there is no way from %q to %q, which %s needs", from, to, label(who)), fmt.Sprintf("add %q with its minutes", from+">"+to))
			}
		}
	}
}
