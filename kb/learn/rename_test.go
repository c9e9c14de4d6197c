package learn

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestRenamedJobsCountAsBefore: after ids of a base were changed and their
// former ones stand in `was`, the same jobs, written in today's ids, give the
// counts they gave under the old base, each under its new id.
func TestRenamedJobsCountAsBefore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := drawBase(t)
		visits := drawVisits(t, before, 15)
		names := map[string]string{}
		for _, id := range namedIn(before) {
			if rapid.Bool().Draw(t, "rename "+id) {
				names[id] = "new-" + id
			}
		}
		after := renamedBase(t, before, names)
		moved := make([]visit, len(visits))
		for i, v := range visits {
			moved[i] = v
			moved[i].job, _ = after.Renamed(v.job)
			if v.back != nil {
				moved[i].back, _ = after.Renamed(v.back)
			}
		}
		want := new(Counts)
		renameJSON(t, countVisits(before, visits), names, want)
		if diff := diffNear(want, countVisits(after, moved), 1e-12); diff != "" {
			t.Fatalf("renamed %v\n%s", names, diff)
		}
	})
}

// namedIn lists the ids of a base that jobs can name, and those of outcomes.
func namedIn(b *kb.Base) []string {
	var ids []string
	for _, list := range []string{"families", "symptoms", "checks", "causes", "fixes", "parts"} {
		ids = append(ids, b.IDs(list)...)
	}
	for i := range b.Checks {
		for _, o := range b.Checks[i].Outcomes {
			ids = append(ids, o.ID)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// word is an id, or a part of a key that is made of two.
var word = regexp.MustCompile(`[a-z0-9]+(-[a-z0-9]+)*`)

// renameJSON writes a value in JSON and reads it back under new ids; those of
// the drawn bases are no names of fields.
func renameJSON(t *rapid.T, from any, names map[string]string, to any) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false) // keys such as cause>effect
	if err := enc.Encode(from); err != nil {
		t.Fatal(err)
	}
	text := word.ReplaceAllFunc(buf.Bytes(), func(id []byte) []byte {
		if now, ok := names[string(id)]; ok {
			return []byte(now)
		}
		return id
	})
	if err := json.Unmarshal(text, to); err != nil {
		t.Fatal(err, fmt.Sprintf("\n%s", text))
	}
}

// renamedBase is a base after ids were changed, with the former ones in `was`.
func renamedBase(t *rapid.T, b *kb.Base, names map[string]string) *kb.Base {
	out := new(kb.Base)
	renameJSON(t, b, names, out)
	former := make(map[string][]string, len(names))
	for was, now := range names {
		former[now] = []string{was}
	}
	for i := range out.Families {
		out.Families[i].Was = former[out.Families[i].ID]
	}
	for i := range out.Symptoms {
		out.Symptoms[i].Was = former[out.Symptoms[i].ID]
	}
	for i := range out.Checks {
		out.Checks[i].Was = former[out.Checks[i].ID]
		for j := range out.Checks[i].Outcomes {
			o := &out.Checks[i].Outcomes[j]
			o.Was = former[o.ID]
		}
	}
	for i := range out.Causes {
		out.Causes[i].Was = former[out.Causes[i].ID]
	}
	for i := range out.Fixes {
		out.Fixes[i].Was = former[out.Fixes[i].ID]
	}
	for i := range out.Parts {
		out.Parts[i].Was = former[out.Parts[i].ID]
	}
	out.Reindex()
	return out
}
