package index

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"sootsayer/kb"
)

// jobsFormat changes with everything that changes what of a job is indexed;
// see formatVersion for how a text is.
const jobsFormat = 1

// The fields of the index of past jobs, besides fieldWords. The texts of a
// passage go to the field of the same name.
const (
	fieldComplaint = "complaint"
	fieldReason    = "reason" // why it was opened again
	fieldNote      = "note"
	fieldCause     = "cause"
	fieldOn        = "on" // the appliance and its model, as the shop calls them
	fieldFamily    = "family"
	fieldClosed    = "closed"
)

var jobTextFields = []string{fieldComplaint, fieldReason, fieldNote, fieldCause, fieldOn}

// jobRoles weigh the fields of a job. What was said and noted counts alike;
// the name of the cause counts less, because the words of a complaint that
// stand in it by chance say little.
var jobRoles = []fieldRole{
	{fieldComplaint, 5, 8, true},
	{fieldReason, 5, 8, true},
	{fieldNote, 5, 8, true},
	{fieldCause, 3, 4, true},
	{fieldOn, 4, 2, false},
}

// jobsKey names what the index of past jobs was built with: how texts are read,
// and what causes and families are called now and were called before. Another
// wording elsewhere in the base leaves it as it is.
func jobsKey(b *kb.Base) string {
	var names []entry
	for _, c := range b.Causes {
		e := entry{kind: KindCause, id: c.ID}
		e.add(fieldName, c.Name)
		e.add("was", c.Was...)
		names = append(names, e)
	}
	for _, f := range b.Families {
		e := entry{kind: fieldFamily, id: f.ID}
		e.add("was", f.Was...)
		names = append(names, e)
	}
	h := sha256.New()
	w := bufio.NewWriter(h) // a hash never fails, so neither does this
	fmt.Fprintf(w, "sootsayer past jobs %d, texts %d, bleve %s\n", jobsFormat, formatVersion, bleveVersion)
	digestText(w, names, b.Synonyms)
	w.Flush()
	return hex.EncodeToString(h.Sum(nil))
}

// causeNames are what causes are called in a base; those that are not in it go
// by their ids.
func causeNames(causes []kb.Cause, ids []string) []string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = id
		for j := range causes {
			if causes[j].ID == id {
				names[i] = causes[j].Name
			}
		}
	}
	return names
}

// passages are the texts by which a job is found.
func (j *PastJob) passages(causes []kb.Cause) []passage {
	e := entry{}
	e.add(fieldComplaint, j.Complaint)
	e.add(fieldReason, j.Reasons...)
	e.add(fieldNote, j.Notes...)
	e.add(fieldOn, j.Appliance, j.Model)
	for i, name := range causeNames(causes, j.Causes) {
		e.add(fieldCause, name)
		if id := j.Causes[i]; id != name {
			e.add(fieldCause, id)
		}
	}
	return e.texts
}

// closedForm is how the time of a closing is kept: later ones sort behind.
const closedForm = "20060102150405"

// document returns what is indexed of a job, by field.
func (j *PastJob) document(a *analyzer, causes []kb.Cause) map[string]any {
	fields := a.fields(j.passages(causes), func(p passage) string { return p.source })
	fields[fieldFamily] = []string{strings.Join(strings.Fields(j.Family), "-")}
	fields[fieldClosed] = []string{j.Closed.UTC().Truncate(time.Second).Format(closedForm)}
	return joinFields(fields)
}
