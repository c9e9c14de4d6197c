package shop

import (
	"cmp"
	"strings"
	"time"
	"unicode"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// importer is who imported events are by. It is the same whoever imports them,
// because a row must give the same events on every machine.
const importer = "import"

// events are what the row records. All depends on the row alone, ids too, so
// that the same row read from another file, or on another machine, changes
// nothing. A job has one first row, so its number is enough to derive ids from;
// a row that goes on with a job adds the time it was opened again.
func (r *row) events() []journal.Event {
	source := "job import\x00" + r.job
	if r.reopens() {
		source += "\x00" + timeText(r.opened)
	}
	acts := r.acts()
	list := make([]journal.Event, 0, len(acts)+2)
	add := func(at time.Time, kind journal.Kind) *journal.Event {
		n := uint16(len(list)) // a row has at most three lists of maxEntries
		list = append(list, journal.Event{ID: journal.EventIDFor(at, source, n), At: at, By: importer, Kind: kind, Job: r.job, V: journal.EventVersion})
		return &list[n]
	}
	if r.reopens() {
		add(r.opened, journal.KindJobReopened).Reason = r.complaint
	} else {
		e := add(r.opened, journal.KindJobOpened)
		e.Family, e.Model, e.Appliance, e.Complaint, e.CallbackOf = r.family, r.model, r.appliance, r.complaint, r.callbackOf
	}
	for _, act := range acts {
		if act.Finding != nil {
			add(r.opened, journal.KindFindingRecorded).Finding = act.Finding
		} else {
			e := add(r.opened, journal.KindFixTried)
			e.Fix, e.Minutes = act.Tried, act.Minutes
		}
	}
	add(r.closed, journal.KindJobClosed).Closing = &kb.Closing{Causes: r.causes, OneOf: r.oneOf, Fixes: r.fixes, Confidence: r.confidence,
		Minutes: r.minutes, FixMinutes: r.fixMinutes, Used: r.parts, From: r.from, Note: r.note}
	return list
}

// acts are the row's symptoms, findings and tried fixes in that order.
func (r *row) acts() []kb.Act {
	acts := make([]kb.Act, 0, len(r.symptoms)+len(r.findings)+len(r.tried))
	for i := range r.symptoms {
		acts = append(acts, kb.Act{Finding: &r.symptoms[i]})
	}
	for i := range r.findings {
		acts = append(acts, kb.Act{Finding: &r.findings[i]})
	}
	return append(acts, r.tried...)
}

// valid tells why the journal would refuse events.
func valid(events []journal.Event) *cellProblem {
	for i := range events {
		if err := events[i].Validate(); err != nil {
			return problemOf(colJob, "the journal refuses it: "+err.Error())
		}
	}
	return nil
}

// rowsOf are the rows of a job: one for each stretch that was closed.
func rowsOf(j *kb.Job, events []journal.Event) []row {
	closings := append([]kb.Closing(nil), j.Past...)
	if j.Closed() {
		closings = append(closings, *j.Closing)
	}
	again := reopenings(events)
	rows := make([]row, len(closings))
	for i := range rows {
		r, c := &rows[i], &closings[i]
		*r = row{job: j.ID, opened: j.Opened, closed: c.At, family: j.Family, model: j.Model, appliance: j.Appliance,
			complaint: plainText(j.Complaint), causes: c.Causes, oneOf: c.OneOf, confidence: c.Confidence, parts: c.Used, minutes: c.Minutes,
			callbackOf: j.CallbackOf, fixes: c.Fixes, fixMinutes: c.FixMinutes, from: c.From, note: plainText(c.Note)}
		if i > 0 && i <= len(again) {
			r.opened, r.complaint, r.callbackOf = again[i-1].At, plainText(again[i-1].Reason), j.ID
		}
	}
	for i := range j.Acts {
		a, stretch := &j.Acts[i], 0
		for stretch < len(again) && cmp.Or(again[stretch].At.Compare(a.At), strings.Compare(again[stretch].ID, a.Event)) < 0 {
			stretch++
		}
		if stretch < len(rows) {
			rows[stretch].take(a)
		}
	}
	return rows
}

// take adds an act of a job to the column it belongs in.
func (r *row) take(a *kb.Act) {
	switch {
	case a.Tried != "":
		r.tried = append(r.tried, kb.Act{Tried: a.Tried, Minutes: a.Minutes})
	case a.Finding == nil:
	case len(r.tried) > 0:
		r.tried = append(r.tried, kb.Act{Finding: a.Finding})
	case a.Finding.Kind == kb.KindSymptom:
		r.symptoms = append(r.symptoms, *a.Finding)
	default:
		r.findings = append(r.findings, *a.Finding)
	}
}

// plainText is a complaint or a note as it comes back from a file: line ends are "\n",
// cells are trimmed, and nothing is in them that cannot be printed.
func plainText(s string) string {
	printable := func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			return ' '
		}
		return r
	}
	return strings.TrimSpace(strings.Map(printable, strings.ReplaceAll(s, "\r\n", "\n")))
}

// reopenings are the events of a job, given in order, that opened it again.
func reopenings(events []journal.Event) []journal.Event {
	gone := make(map[string]bool)
	for i := range events {
		if events[i].Kind == journal.KindFindingWithdrawn {
			gone[events[i].Of] = true
		}
	}
	var out []journal.Event
	closed := false
	for i := range events {
		switch e := &events[i]; {
		case gone[e.ID]:
		case e.Kind == journal.KindJobClosed:
			closed = true
		case e.Kind == journal.KindJobReopened && closed:
			closed = false
			out = append(out, *e)
		}
	}
	return out
}
