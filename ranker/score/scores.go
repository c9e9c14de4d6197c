package score

import "math"

// Scores are means over jobs. A job with several independent root causes counts
// the mean over them.
type Scores struct {
	LogLoss float64 `json:"log_loss"` // bits
	Brier   float64 `json:"brier"`    // over all causes, from 0 to 2
	Top1    float64 `json:"top_1"`    // how often the truth was named first
	Top3    float64 `json:"top_3"`    // or among the first three
	Top5    float64 `json:"top_5"`
	Place   float64 `json:"place"` // mean place of the truth in the list
}

// scoresOf scores one forecast. The truth holds the classes of the root causes.
func scoresOf(forecast []float64, truth []int) Scores {
	var s Scores
	for _, t := range truth {
		place := Place(forecast, t)
		s = s.plus(Scores{LogLoss: LogLoss(forecast, t), Brier: Brier(forecast, t),
			Top1: within(place, 1), Top3: within(place, 3), Top5: within(place, 5), Place: float64(place)})
	}
	return s.over(float64(len(truth)))
}

// logLosses picks the log loss of each.
func logLosses(s By[Scores]) By[float64] {
	return eachBy(s, func(s Scores) float64 { return s.LogLoss })
}

func within(place, k int) float64 {
	if place <= k {
		return 1
	}
	return 0
}

func (s Scores) plus(t Scores) Scores {
	return Scores{LogLoss: s.LogLoss + t.LogLoss, Brier: s.Brier + t.Brier, Top1: s.Top1 + t.Top1, Top3: s.Top3 + t.Top3,
		Top5: s.Top5 + t.Top5, Place: s.Place + t.Place}
}

// over divides sums by a number of jobs; 0 jobs leave zeroes.
func (s Scores) over(n float64) Scores {
	if n == 0 {
		return Scores{}
	}
	return Scores{LogLoss: s.LogLoss / n, Brier: s.Brier / n, Top1: s.Top1 / n, Top3: s.Top3 / n, Top5: s.Top5 / n, Place: s.Place / n}
}

// Gain is how many bits of log loss a job learning saved against another way to
// predict, below 0 where it cost some. Low and High bound the mean with a chance
// of 90 %, from the differences job by job (Diebold and Mariano 1995, Journal of
// Business and Economic Statistics 13:253-263), taking jobs as independent.
type Gain struct {
	Bits float64 `json:"bits"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// difference sums the differences of two log losses and their squares.
type difference struct{ sum, squares float64 }

func (d *difference) add(bits float64) {
	d.sum += bits
	d.squares += bits * bits
}

// gain of n jobs. A single job tells nothing of how much they vary: the bounds
// are then those of any log loss.
func (d *difference) gain(n float64) Gain {
	if n == 0 {
		return Gain{}
	}
	mean := d.sum / n
	if n < 2 {
		return Gain{Bits: mean, Low: -mostBits, High: mostBits}
	}
	reach := z90 * math.Sqrt(max(0, d.squares/n-mean*mean)/(n-1))
	return Gain{Bits: mean, Low: mean - reach, High: mean + reach}
}

// Moment compares the three ways to predict at one moment of the jobs.
type Moment struct {
	Jobs int `json:"jobs"`
	By[Scores]
	OverAuthored  Gain `json:"over_authored"`
	OverCommonest Gain `json:"over_commonest"`
}

// moment sums what a Moment is the mean of.
type moment struct {
	jobs            int
	sums            By[Scores]
	authored, other difference
}

func (m *moment) add(s By[Scores]) {
	m.jobs++
	m.sums = bothBy(m.sums, s, Scores.plus)
	m.authored.add(s.Authored.LogLoss - s.Learned.LogLoss)
	m.other.add(s.Commonest.LogLoss - s.Learned.LogLoss)
}

func (m *moment) mean() Moment {
	n := float64(m.jobs)
	return Moment{Jobs: m.jobs, By: eachBy(m.sums, func(s Scores) Scores { return s.over(n) }),
		OverAuthored: m.authored.gain(n), OverCommonest: m.other.gain(n)}
}
