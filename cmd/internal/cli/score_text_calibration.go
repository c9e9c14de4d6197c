package cli

import (
	"fmt"
	"strings"

	"sootsayer/ranker/score"
)

// scoreCalibration writes whether chances can be taken at their word.
func (p *printer) scoreCalibration(r *score.Report) {
	p.line("")
	p.heading("Can its chances be taken at their word?")
	p.line("%-24s%-24s%s", "", fromComplaint, withAll)
	p.line("  %-20s%s", "said of the first", "  jobs   said  it was     jobs   said  it was")
	complaint, end := &r.Calibration.Complaint, &r.Calibration.End
	for i := range 10 {
		a, b := binFrom(complaint.First.Learned.Bins, i), binFrom(end.First.Learned.Bins, i)
		if a == nil && b == nil {
			continue
		}
		p.line("%s", strings.TrimRight(fmt.Sprintf("  %2d - %3d%%          %s   %s", 10*i, 10*(i+1), binText(a), binText(b)), " "))
	}
	p.para("  ", fmt.Sprintf("Off by %s points on average from the complaint and %s with all findings (calibration error of the cause named first); honest chances of as many jobs are off by some %s and %s by luck. Good is not much more than luck.",
		points(complaint.First.Learned.Error), points(end.First.Learned.Error), points(complaint.First.Learned.Luck), points(end.First.Learned.Luck)))
	p.brier("From the complaint", &complaint.All.Learned.Parts)
	p.brier("With all findings", &end.All.Learned.Parts)
}

// binFrom returns the i-th tenth, nil where nothing was said in it.
func binFrom(bins []score.Bin, i int) *score.Bin {
	for k := range bins {
		if int(10*bins[k].From+0.5) == i {
			return &bins[k]
		}
	}
	return nil
}

func binText(b *score.Bin) string {
	if b == nil {
		return fmt.Sprintf("%6s  %5s  %6s", "-", "", "")
	}
	return fmt.Sprintf("%6.0f  %5s  %6s", b.Forecasts, percent(b.Said), percent(b.Was))
}

// points writes a difference of chances in percentage points.
func points(v float64) string { return fmt.Sprintf("%.1f", 100*v) }

// brier writes the Brier score with its parts.
func (p *printer) brier(when string, s *score.Parts) {
	p.para("  ", fmt.Sprintf("%s, the Brier score over all causes is %.3f, where 0 is perfect: %.3f with all causes alike, less %.3f for telling them apart, plus %.3f for chances that were off, %+.3f within the tenths.",
		when, s.Brier, s.Uncertainty, s.Resolution, s.Reliability, s.WithinVariance-s.WithinCovariance))
}
