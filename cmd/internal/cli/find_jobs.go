package cli

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"sootsayer/cmd/internal/shop"
	"sootsayer/index"
	"sootsayer/kb"
)

// jobsCompared is how many of the past jobs that fit best are counted by what
// they turned out to be, and closeFit how close to the best of them they must
// come: its score times this.
const (
	jobsCompared = 50
	closeFit     = 0.5
)

// findJobs searches the past jobs, more of them than are listed.
func (a *app) findJobs(ctx context.Context, s *shop.Shop, x *index.Index, q index.Query) ([]index.Hit, error) {
	if q.Limit > 0 {
		q.Limit = max(q.Limit+1, jobsCompared)
	}
	say, done := a.progress()
	defer done()
	return s.FindJobs(ctx, x, q, func(jobs int) { say(fmt.Sprintf("indexing past jobs: %d", jobs)) })
}

// tellJobs lists the past jobs that were found, and what they turned out to be.
func (o *findOptions) tellJobs(p *printer, s *shop.Shop, hits, jobs []index.Hit) {
	if len(jobs) == 0 {
		return
	}
	switch {
	case len(hits) > 0:
		p.line("")
	case len(o.kinds) == 0:
		p.line("Nothing in the base fits. Past jobs do:")
	}
	shown := upToLimit(jobs, o.limit)
	for i := range shown {
		p.pastJob(s.Base(), &shown[i])
	}
	o.tellMore(p, jobs)
	p.line("")
	tellOutcomes(p, s.Base(), jobs)
	p.para("Read one whole: ", "sootsayer job show "+shown[0].ID)
}

// pastJob writes one job that was found, and the texts that fit.
func (p *printer) pastJob(b *kb.Base, h *index.Hit) {
	const column = 9
	j := h.Job
	what := causeWords(b, j.Causes, j.OneOf)
	if j.Confidence < 1 {
		what += ", " + percent(j.Confidence) + " sure"
	}
	if j.CameBackAs != "" {
		what += "; came back as job " + j.CameBackAs
	}
	on := j.Family
	if j.Appliance != "" {
		on += " " + j.Appliance
	}
	p.para(pad(h.Kind, column), fmt.Sprintf("%s, %s, %s: %s", j.ID, j.Closed.Local().Format("2 Jan 2006"), on, what))
	for _, f := range h.Fragments[:min(len(h.Fragments), 2)] {
		label := fieldWords[f.Field]
		p.marked(strings.Repeat(" ", column), label+excerpt(mark(f.Text, f.Spans), excerptLines*(p.width-column)-column-len(label)))
	}
}

// causeWords are causes by name and id.
func causeWords(b *kb.Base, ids []string, oneOf bool) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = causeName(b, id)
		if words[i] != id {
			words[i] += " (" + id + ")"
		}
	}
	if oneOf {
		return "one of: " + strings.Join(words, ", ")
	}
	return strings.Join(words, " and ")
}

// causeName is what a cause is called, its id where the base does not have it.
func causeName(b *kb.Base, id string) string {
	if id == kb.Unlisted {
		return "not in the base"
	}
	if c, ok := b.Cause(id); ok {
		return c.Name
	}
	return id
}

// mostOutcomes is how many causes are counted by name.
const mostOutcomes = 4

// tellOutcomes counts what the jobs that fit about as well as the best one
// turned out to be. Jobs come the best first.
func tellOutcomes(p *printer, b *kb.Base, jobs []index.Hit) {
	count := map[string]int{}
	near := 0
	for _, h := range jobs[:min(len(jobs), jobsCompared)] {
		if h.Score < closeFit*jobs[0].Score {
			break
		}
		near++
		for _, id := range h.Job.Causes {
			count[id]++
		}
	}
	if near < 2 {
		return
	}
	ids := make([]string, 0, len(count))
	for id := range count {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b string) int { return cmp.Or(count[b]-count[a], strings.Compare(a, b)) })
	var words []string
	for _, id := range ids[:min(len(ids), mostOutcomes)] {
		words = append(words, fmt.Sprintf("%s %d", causeName(b, id), count[id]))
	}
	text := strings.Join(words, ", ")
	if left := len(ids) - len(words); left > 0 {
		text += ", " + countedAs(left, "other cause", "other causes")
	}
	p.para(fmt.Sprintf("Of the %d closest: ", near), text+".")
}
