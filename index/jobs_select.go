package index

import (
	"cmp"
	"context"
	"slices"
	"strings"

	index "github.com/blevesearch/bleve_index_api"
)

// rankedJob is a job with its score. Closed is when it was closed, in
// closedForm; it and the id are read for those only that may be among the best.
type rankedJob struct {
	doc    uint64
	score  float64
	id     string
	closed string
}

// selectBest returns the best jobs of the family that is asked for.
func (x *JobIndex) selectBest(ctx context.Context, scores []float64, q Query) ([]rankedJob, error) {
	if q.Family != "" {
		if err := x.keepFamily(ctx, scores, q.Family); err != nil {
			return nil, err
		}
	}
	limit := q.Limit
	if limit == 0 {
		limit = defaultLimit
	}
	least := leastOfBest(scores, limit)
	var best []rankedJob
	for d, score := range scores {
		if score <= 0 {
			continue
		}
		if score = round(score); score >= least {
			best = append(best, rankedJob{doc: uint64(d), score: score})
		}
	}
	if err := x.describe(best); err != nil {
		return nil, err
	}
	slices.SortFunc(best, func(a, b rankedJob) int {
		return cmp.Or(cmp.Compare(b.score, a.score), strings.Compare(b.closed, a.closed), compareIDs(a.id, b.id))
	})
	if limit > 0 && len(best) > limit {
		best = best[:limit]
	}
	return best, nil
}

// keepFamily sets the scores of jobs of other families to zero.
func (x *JobIndex) keepFamily(ctx context.Context, scores []float64, family string) error {
	r, err := x.reader.TermFieldReader(ctx, []byte(family), fieldFamily, false, false, false)
	if err != nil {
		return err
	}
	defer r.Close()
	next := 0
	for {
		d, err := r.Next(nil)
		if err != nil {
			return err
		}
		to := len(scores)
		if d != nil {
			to = min(to, int(d.ID.Value()))
		}
		for ; next < to; next++ {
			scores[next] = 0
		}
		if d == nil {
			return nil
		}
		next = to + 1
	}
}

// leastOfBest is the limit-th greatest of the scores, or 0 when all count.
func leastOfBest(scores []float64, limit int) float64 {
	if limit < 0 {
		return 0
	}
	greatest := make([]float64, 0, limit+1) // rising
	for _, s := range scores {
		if s <= 0 || len(greatest) == limit && s <= greatest[0] {
			continue
		}
		at, _ := slices.BinarySearch(greatest, s)
		greatest = slices.Insert(greatest, at, s)
		if len(greatest) > limit {
			greatest = greatest[1:]
		}
	}
	if len(greatest) < limit {
		return 0
	}
	return round(greatest[0])
}

// describe reads ids and closing times, documents in rising order.
func (x *JobIndex) describe(jobs []rankedJob) error {
	values, err := x.reader.DocValueReader([]string{fieldClosed})
	if err != nil {
		return err
	}
	for i := range jobs {
		j := &jobs[i]
		doc := index.NewIndexInternalID(nil, j.doc)
		if j.id, err = x.reader.ExternalID(doc); err != nil {
			return err
		}
		err := values.VisitDocValues(doc, func(_ string, term []byte) { j.closed = string(term) })
		if err != nil {
			return err
		}
	}
	return nil
}

// compareIDs orders ids of jobs: numbers by their value, then text.
func compareIDs(a, b string) int {
	number := func(id string) int {
		if id != "" && strings.Trim(id, "0123456789") == "" {
			return len(id)
		}
		return len(a) + len(b) + 1
	}
	return cmp.Or(cmp.Compare(number(a), number(b)), strings.Compare(a, b))
}
