package shop

import (
	"context"
	"fmt"
	"hash/maphash"
	"io"
	"slices"
	"strings"

	"sootsayer/kb/journal"
)

// DryRun is how a file of closed jobs would be taken in.
type DryRun struct {
	Rows        int       `json:"rows"`
	Good        int       `json:"good"`    // would be imported
	Already     int       `json:"already"` // are there already, or stand in the file before, and say the same
	Bad         int       `json:"bad"`
	First       []DryRow  `json:"first"`
	Unread      []string  `json:"unread"`                 // headings that nobody reads
	Unknown     []Unknown `json:"unknown"`                // words that the base does not have, the commonest first
	MoreUnknown int       `json:"more_unknown,omitempty"` // how often further such words stand there, of which there are too many
	Values      string    `json:"values,omitempty"`       // the unknown words as YAML for the mapping, to be looked over
	Dates       string    `json:"dates_also,omitempty"`   // how all dates of the file could be read as well, with day and month changed round
}

// DryRow is one of the first rows as it was understood.
type DryRow struct {
	Line    int          `json:"line"`
	Columns []DryCell    `json:"columns"` // those that are not empty, in our order
	Wrong   []RowProblem `json:"wrong,omitempty"`
}

// DryCell is a cell of such a row.
type DryCell struct {
	Column string `json:"column"`
	Value  string `json:"value"`          // as a plain file would have it
	From   string `json:"from,omitempty"` // what the shop's file says, where that is something else
}

// firstRows is how many rows are shown.
const firstRows = 3

// DryRunJobs reads a file of closed jobs as ImportJobs would and records nothing.
// It needs no store; where there is one, rows are held against it. Rows of a job
// that stands in the file twice are held against each other.
func (s *Shop) DryRunJobs(ctx context.Context, r io.Reader, o ImportOptions) (DryRun, error) {
	t := &dryRun{did: DryRun{First: []DryRow{}, Unread: []string{}}, words: unknownWords{times: make(map[Unknown]int)},
		jobs: make(map[uint64]dryJob), known: make(map[string][]journal.Event), seed: maphash.MakeSeed()}
	f, err := s.openJobFile(r, o)
	if err != nil {
		return t.did, err
	}
	t.jobFile = f
	f.reader.seen = t.see
	told := f.problem
	f.problem = func(raw *rawRow, p RowProblem) {
		t.note(raw, p)
		told(raw, p)
	}
	err = f.each(ctx, t.take)
	t.did.Rows, t.did.Already, t.did.Bad, t.did.Unread = f.rows, f.already, f.bad, append(t.did.Unread, f.reader.unread...)
	t.did.Unknown, t.did.MoreUnknown = t.words.list(), t.words.more
	t.did.Values = valuesBlock(t.did.Unknown)
	if t.eitherWay && !t.oneWay {
		t.did.Dates = o.Map.otherWay()
	}
	return t.did, err
}

// dryRun is a file being tried out.
type dryRun struct {
	*jobFile
	did   DryRun
	words unknownWords
	jobs  map[uint64]dryJob          // rows of jobs that the store does not have
	known map[string][]journal.Event // good rows of jobs that it has
	seed  maphash.Seed
	shown []*rawRow // of did.First

	eitherWay, oneWay bool
}

// dryJob is what is kept of a row that the file held before: hashes, so that a
// long file takes little memory.
type dryJob struct {
	line   int32
	cells  uint64
	closed int64  // when its job was closed last, in nanoseconds of 1970
	whose  uint64 // family, model and appliance
}

func (t *dryRun) hash(texts ...string) uint64 {
	return maphash.String(t.seed, strings.Join(texts, "\x00"))
}

// take holds a good row against the store and the rows before it.
func (t *dryRun) take(raw *rawRow, r *row) error {
	already, why, err := t.standing(raw, r)
	if err == nil && why == nil && !already {
		why = valid(r.events())
	}
	switch {
	case err != nil:
		return err
	case why != nil:
		t.refuseJob(raw, why)
	case already:
		t.already++
	default:
		t.did.Good++
		t.keep(raw, r)
	}
	return nil
}

// standing is Shop.standing with the rows before it in the file.
func (t *dryRun) standing(raw *rawRow, r *row) (already bool, why *cellProblem, err error) {
	if t.shop.journal != nil {
		events, err := t.shop.journal.Events(r.job)
		if err != nil {
			return false, nil, err
		}
		if len(events) > 0 {
			already, why = t.shop.standingOf(r, append(events, t.known[r.job]...))
			if !already && why == nil {
				t.known[r.job] = append(t.known[r.job], r.events()...)
			}
			return already, why, nil
		}
	}
	job, there := t.jobs[t.hash(r.job)]
	row, again := t.jobs[t.rowKey(r)]
	cells := r.cells()
	switch {
	case again && row.cells == t.hash(cells[:]...):
		return true, nil, nil
	case again:
		why = problemOf(colJob, fmt.Sprintf("job %s stands in line %d already and says something else; give this row another number, or leave it out", r.job, row.line))
	case !r.reopens():
	case !there:
		why = notThere(r)
	case r.opened.UnixNano() <= job.closed:
		why = problemOf(colOpened, fmt.Sprintf("job %s of line %d was closed after this, and this row goes on with it; write the time of day when it came back, after that", r.job, job.line))
	case job.whose != t.hash(r.family, r.model, r.appliance):
		why = problemOf(colFamily, fmt.Sprintf("job %s of line %d is of another family, model or appliance; a row that goes on with it must be of the same", r.job, job.line))
	}
	return false, why, nil
}

// rowKey is where a row is kept: a job's first row under the job.
func (t *dryRun) rowKey(r *row) uint64 {
	if r.reopens() {
		return t.hash(r.job, timeText(r.opened))
	}
	return t.hash(r.job)
}

// keep remembers a good row.
func (t *dryRun) keep(raw *rawRow, r *row) {
	cells := r.cells()
	kept := dryJob{line: int32(raw.line), cells: t.hash(cells[:]...), closed: r.closed.UnixNano(), whose: t.hash(r.family, r.model, r.appliance)}
	t.jobs[t.rowKey(r)] = kept
	if job := t.jobs[t.hash(r.job)]; r.reopens() {
		job.closed = kept.closed
		t.jobs[t.hash(r.job)] = job
	}
}

// see keeps the first rows as they are read.
func (t *dryRun) see(raw *rawRow, record []string) {
	t.eitherWay, t.oneWay = t.eitherWay || raw.eitherWay, t.oneWay || raw.oneWay
	if len(t.did.First) >= firstRows {
		return
	}
	shown := DryRow{Line: raw.line}
	for col, cell := range raw.cells {
		var from []string
		for _, i := range t.reader.place[col] {
			if text := strings.TrimSpace(record[i]); text != "" {
				from = append(from, text)
			}
		}
		c := DryCell{Column: columnNames[col], Value: cell, From: strings.Join(from, " / ")}
		if c.From == c.Value {
			c.From = ""
		}
		if c.Value != "" || c.From != "" {
			shown.Columns = append(shown.Columns, c)
		}
	}
	t.did.First, t.shown = append(t.did.First, shown), append(t.shown, raw)
}

// note keeps what is wrong with the first rows, and counts unknown words.
func (t *dryRun) note(raw *rawRow, p RowProblem) {
	if i := slices.Index(t.shown, raw); i >= 0 && raw != nil {
		t.did.First[i].Wrong = append(t.did.First[i].Wrong, p)
	}
	t.words.count(p)
}
