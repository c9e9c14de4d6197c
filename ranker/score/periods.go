package score

import "sootsayer/kb"

// A period holds at least so many jobs, where there are so many, and there are
// not more periods than that: fewer jobs say little, more periods show no more.
const (
	leastInPeriod = 20
	mostPeriods   = 24
)

// point is one job in the course of time: its log losses in bits.
type point struct {
	job            *kb.Job
	complaint, end By[float64]
}

// periods divides the points, which come in the order of time, into stretches of
// as many jobs each, give or take one.
func periods(line []point) []Period {
	n := min(mostPeriods, max(1, len(line)/leastInPeriod))
	out := make([]Period, 0, n)
	for i := range n {
		part := line[i*len(line)/n : (i+1)*len(line)/n]
		if len(part) == 0 {
			continue
		}
		p := Period{From: part[0].job.Opened, To: part[len(part)-1].job.Opened, Jobs: len(part)}
		for _, x := range part {
			p.Complaint = bothBy(p.Complaint, x.complaint, plus)
			p.End = bothBy(p.End, x.end, plus)
		}
		mean := func(sum float64) float64 { return sum / float64(len(part)) }
		p.Complaint, p.End = eachBy(p.Complaint, mean), eachBy(p.End, mean)
		out = append(out, p)
	}
	return out
}

func plus(a, b float64) float64 { return a + b }
