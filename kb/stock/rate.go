package stock

import "math"

// JobRate is what is known of how many jobs of a family come: a number of jobs in
// an average month that is Gamma distributed with Shape and Rate, times the
// month's share by the season.
type JobRate struct {
	Shape, Rate float64
	Season      Season
}

// RateOptions say how a job rate is learned.
type RateOptions struct {
	// Shape and Rate are the Gamma prior of the jobs of an average month: Rate in
	// months, Shape/Rate the mean. They may come from all families together.
	Shape, Rate float64
	// Expected is the monthly profile expected before, worth SeasonWorth jobs.
	Expected    Season
	SeasonWorth float64
	// Keep is what a month counts less than the one after it; 1 when 0.
	Keep float64
	// Heating, where there is one, gives the season and evens out cold and mild
	// months of the past.
	Heating *Heating
}

// LearnJobRate learns how many jobs of a family come from those that came by
// month (Pieces of a history): the posterior of a Poisson rate under a Gamma
// prior. Months that are Unknown are left out.
func LearnJobRate(jobs History, o RateOptions) JobRate {
	keep := o.Keep
	if keep == 0 {
		keep = 1
	}
	r := JobRate{Shape: o.Shape, Rate: o.Rate}
	if o.Heating != nil {
		r.Season = o.Heating.Season()
	} else {
		r.Season = NewSeason(jobs, o.Expected, o.SeasonWorth)
	}
	var shape, rate float64
	for i, n := range jobs.Pieces {
		shape, rate = keep*shape, keep*rate
		if n < 0 {
			continue
		}
		m := jobs.First + Month(i)
		shape += float64(n)
		if o.Heating != nil {
			rate += o.Heating.At(m)
		} else {
			rate += r.Season.At(m)
		}
	}
	r.Shape += shape
	r.Rate += rate
	return r
}

// Mean returns the jobs expected of an average month.
func (r *JobRate) Mean() float64 {
	if !(r.Rate > 0) {
		return 0
	}
	return r.Shape / r.Rate
}

// Over returns the jobs of some spans: their number is negative binomial.
func (r *JobRate) Over(spans []Span) Uses {
	if !(r.Shape > 0) {
		return Uses{Shape: math.Inf(1)}
	}
	return Uses{r.Shape, r.Mean() * r.Season.Over(spans)}
}
