package cli_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"sootsayer/kb"
)

// soybean is the only family of the base of soybean diseases, and its file name.
const soybean = "soybean"

// notRecorded stands for an observation that a case does not have.
const notRecorded = -1

// soyCases are the cases of testdata/soybean, whose README names the source.
type soyCases struct {
	observations     []string   // ids
	levels           [][]string // by observation
	causes           []string   // ids, in the order of the file
	training, others []soyCase
}

// soyCase is one diseased plant: its cause, as an index, and the level of each
// observation, or notRecorded.
type soyCase struct {
	cause  int
	levels []int
}

// readSoybean reads the cases and checks that they are whole.
func readSoybean(t *testing.T) *soyCases {
	t.Helper()
	d := &soyCases{}
	for _, row := range readSoyFile(t, "observations.csv")[1:] {
		d.observations = append(d.observations, row[0])
		d.levels = append(d.levels, strings.Split(row[1], ";"))
	}
	rows := readSoyFile(t, "cases.csv")
	if head := rows[0][2:]; !slices.Equal(head, d.observations) {
		t.Fatalf("cases.csv has the columns %v, want %v", head, d.observations)
	}
	for i, row := range rows[1:] {
		if !slices.Contains(d.causes, row[1]) {
			d.causes = append(d.causes, row[1])
		}
		c := soyCase{cause: slices.Index(d.causes, row[1]), levels: make([]int, len(d.observations))}
		for j, cell := range row[2:] {
			c.levels[j] = notRecorded
			if cell == "" {
				continue
			}
			level, err := strconv.Atoi(cell)
			if err != nil || level < 0 || level >= len(d.levels[j]) {
				t.Fatalf("case %d: %s is %q", i+1, d.observations[j], cell)
			}
			c.levels[j] = level
		}
		switch row[0] {
		case "training":
			d.training = append(d.training, c)
		case "other":
			d.others = append(d.others, c)
		default:
			t.Fatalf("case %d is of the set %q", i+1, row[0])
		}
	}
	return d
}

func readSoyFile(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", soybean, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// seenLevel is an observation and its level, by index.
type seenLevel struct{ observation, level int }

// found writes an observation as the flag --found and the column findings do.
func (d *soyCases) found(s seenLevel) string {
	return d.observations[s.observation] + "=" + d.levels[s.observation][s.level]
}

// recorded lists the observations that a case has.
func (c *soyCase) recorded() []seenLevel {
	var out []seenLevel
	for j, level := range c.levels {
		if level != notRecorded {
			out = append(out, seenLevel{j, level})
		}
	}
	return out
}

// writeBase writes a base that knows the names of the causes, the observations
// and their levels, and nothing else: equal shares, every level as likely as
// the next, whatever the cause. It returns its folder.
func (d *soyCases) writeBase(t *testing.T, strength, tableStrength float64) string {
	t.Helper()
	b := kb.Base{Schema: kb.SchemaVersion, Settings: kb.Settings{Strength: strength, TableStrength: tableStrength,
		EscalationMinutes: 1000, StockStrength: 3, MinutesStrength: 5, CallbackDays: 30}}
	b.Families = []kb.Family{{ID: soybean, Name: "Soybean plant"}}
	ignorance := kb.Bases{{Kind: "estimate"}}
	for _, cause := range d.causes {
		fix := "treat-" + cause
		b.Causes = append(b.Causes, kb.Cause{ID: cause, Name: cause, Share: map[string]float64{soybean: 1}, Fix: fix, Basis: ignorance})
		b.Fixes = append(b.Fixes, kb.Fix{ID: fix, Name: fix, Minutes: 1, Cures: 1, Basis: ignorance})
	}
	for j, id := range d.observations {
		c := kb.Check{ID: id, Name: id, Families: []string{soybean}, Minutes: 1, Basis: ignorance}
		for _, level := range d.levels[j] {
			c.Outcomes = append(c.Outcomes, kb.Outcome{ID: level, Name: level})
			c.Normally = append(c.Normally, kb.Prob{Outcome: level, P: 1 / float64(len(d.levels[j]))})
		}
		for _, cause := range d.causes {
			c.If = append(c.If, kb.Row{Cause: cause, Table: c.Normally})
		}
		b.Checks = append(b.Checks, c)
	}
	text, err := b.YAML()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, soybean+".yaml"), text, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// writeJobs writes the training cases as closed jobs in the columns of `job
// import`, one a day. The days are invented: the source has none.
func (d *soyCases) writeJobs(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "training.csv")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := csv.NewWriter(f)
	w.Write([]string{"job", "opened", "closed", "family", "model", "appliance", "complaint", "symptoms",
		"findings", "tried", "causes", "confidence", "parts", "minutes", "callback_of"})
	first := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC)
	for i, c := range d.training {
		var findings []string
		for _, s := range c.recorded() {
			findings = append(findings, d.found(s))
		}
		day := first.AddDate(0, 0, i).Format(time.DateOnly)
		w.Write([]string{fmt.Sprintf("case-%d", i+1), day, day, soybean, "", "", "", "",
			strings.Join(findings, ";"), "", d.causes[c.cause], "", "", "", ""})
	}
	if w.Flush(); w.Error() != nil {
		t.Fatal(w.Error())
	}
	return name
}
