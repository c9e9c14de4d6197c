package score

// questions collect the forecasts of one moment: of the cause that was named
// first, and of all causes.
type questions By[*asked]

type asked struct{ first, all *Bins }

func newQuestions() questions {
	return questions(eachBy(By[*asked]{}, func(*asked) *asked { return &asked{EqualWidth(binCount), EqualWidth(binCount)} }))
}

func (q questions) add(said By[[]float64], truth []int) {
	q.Learned.ask(said.Learned, truth)
	q.Authored.ask(said.Authored, truth)
	q.Commonest.ask(said.Commonest, truth)
}

// ask adds a forecast. Of several root causes each is the answer by its share.
func (a *asked) ask(forecast []float64, truth []int) {
	share := 1 / float64(len(truth))
	best := first(forecast)
	for k, p := range forecast {
		var yes float64 // how much of the answer says that it was k
		for _, t := range truth {
			if t == k {
				yes += share
			}
		}
		a.all.Add(p, 1, yes)
		a.all.Add(p, 0, 1-yes)
		if k == best {
			a.first.Add(p, 1, yes)
			a.first.Add(p, 0, 1-yes)
		}
	}
}

// calibrated are the answers of a number of jobs.
func (q questions) calibrated(jobs int) Questions {
	return Questions{
		First: eachBy(By[*asked](q), func(a *asked) Calibration { return calibrated(a.first, jobs) }),
		All:   eachBy(By[*asked](q), func(a *asked) Calibration { return calibrated(a.all, jobs) }),
	}
}

func calibrated(b *Bins, jobs int) Calibration {
	perJob := b.Weight() / float64(max(1, jobs))
	return Calibration{Error: b.CalibrationError(), Luck: b.CalibrationLuck(), Largest: b.LargestError(), Parts: b.Parts().times(perJob), Bins: b.List()}
}
