package kb

import (
	"maps"
	"slices"
)

// A part that was superseded keeps its entry, so that its old number can be
// looked up, but it is no part of its own any more: its number is a former id of
// the part that replaces it. So stock, history and what was learned are kept
// under one id, however often a part is superseded again.

// withSuperseded adds the numbers of superseded parts to the former ids of
// parts.
func (b *Base) withSuperseded(names map[string]string) map[string]string {
	now, _ := b.successions()
	for was, id := range names {
		if n, ok := now[id]; ok {
			names[was] = n // a former id of a part that was superseded since
		}
	}
	if names == nil {
		return now
	}
	maps.Copy(names, now)
	return names
}

// successions follows superseded_by to the parts that are ordered today, nil
// when no part is superseded. Left out is what Lint refuses: parts that go in a
// circle or out of the base. The circles are listed by the ids in them, from
// each to the one that replaces it.
func (b *Base) successions() (now map[string]string, circles [][]string) {
	seen := make(map[string]bool)
	for i := range b.Parts {
		var path []string
		at := &b.Parts[i]
		for at != nil && at.SupersededBy != "" && !seen[at.ID] {
			seen[at.ID] = true
			path = append(path, at.ID)
			at, _ = b.Part(at.SupersededBy)
		}
		if len(path) == 0 || at == nil {
			continue
		}
		end, ok := at.ID, true
		if at.SupersededBy != "" { // its end is known, or it has none
			end, ok = now[at.ID]
		}
		if from := slices.Index(path, at.ID); from >= 0 {
			circles = append(circles, path[from:])
		}
		for _, id := range path {
			if ok {
				if now == nil {
					now = make(map[string]string)
				}
				now[id] = end
			}
		}
	}
	return now, circles
}

// FormerNumbers returns the ids that mean a part today besides its own, sorted:
// those it had before, and those of the parts that it supersedes.
func (b *Base) FormerNumbers(part string) []string {
	var out []string
	for was, now := range b.index.former.parts {
		if now == part {
			out = append(out, was)
		}
	}
	slices.Sort(out)
	return out
}

// Room returns the slots that a piece takes in a truck.
func (p *Part) Room() float64 {
	if p.Slots > 0 {
		return p.Slots
	}
	return 1
}
