package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"sootsayer/cmd/internal/shop"
	"sootsayer/kb"
	"sootsayer/kb/learn"
)

// mostPriors is how many causes are listed whether or not a job stands behind
// them, and how many changes of tables.
const mostPriors = 15

// A share is said to have risen or fallen when at least fewTelling jobs stand on
// one side, and the chance that it did is telling. There are many causes: one
// job more or less of each would seem to tell something now and then.
const (
	telling    = 0.975
	fewTelling = 5
)

// hardlyDiffer is how many jobs of a model its family is worth where there is no
// point in saying how many.
const hardlyDiffer = 500

func (a *app) printPriors(s *shop.Shop, out *priorsJSON, o *priorsOptions) error {
	p := a.printer()
	for i := range out.Families {
		if i > 0 {
			p.line("")
		}
		f := &out.Families[i]
		if x, ok := s.Base().Family(f.Family); ok {
			p.heading(fmt.Sprintf("%s (%s)", x.Name, x.ID))
		}
		if err := p.behindPriors(s, f); err != nil {
			return err
		}
		p.priors(f, o.all)
		if f.Model == nil {
			p.drifts(f)
		}
	}
	if !o.tables {
		return nil
	}
	p.line("")
	p.tables(s.Base(), out.Tables, o.all)
	for i := range out.Families {
		p.line("")
		p.changes(&out.Families[i], o.all)
	}
	return nil
}

// behindPriors says how many jobs stand behind the shares of a family, and of
// the model that was asked for.
func (p *printer) behindPriors(s *shop.Shop, f *familyPriors) error {
	switch {
	case f.Jobs == 0:
		p.para("  ", fmt.Sprintf("No closed job yet: all stands as it was at the start, which is worth %g jobs.", f.Strength))
	default:
		p.para("  ", fmt.Sprintf("%s, worth %.1f jobs of today; the shares at the start are worth %g jobs.", counted(f.Jobs, "closed job"), f.Weighted, f.Strength))
	}
	if f.Model == nil {
		return nil
	}
	if f.Model.Causes == 0 {
		text, err := modelWords(s, f.Family, f.Model.Model)
		if err == nil {
			p.para("  ", text)
		}
		return err
	}
	text := fmt.Sprintf("Model %s: %s found on its closed jobs, worth %.1f of today. ", f.Model.Model, counted(f.Model.Causes, "root cause"), f.Model.Weighted)
	if f.Model.FamilyWorth > hardlyDiffer {
		text += "The shop's models hardly differ so far: the shares are nearly those of the whole family."
	} else {
		text += fmt.Sprintf("What the whole family shows counts as %.0f more of them; the fewer, the more the shop's models differ.", f.Model.FamilyWorth)
	}
	p.para("  ", text)
	return nil
}

// priors writes the shares of one family.
func (p *printer) priors(f *familyPriors, all bool) {
	p.line("  start    now    90%% between   jobs  cause")
	left := 0
	for i, x := range f.Priors {
		if !all && x.Jobs == 0 && i >= mostPriors && x.ID != kb.Unlisted {
			left++
			continue
		}
		name := x.Name
		if x.ID == kb.Unlisted {
			name += ", of all jobs"
		}
		p.line("  %5s  %5s  %5s - %5s  %5s  %s", share(x.Start), share(x.Now), share(x.Low), share(x.High), jobsWord(x.Jobs),
			nameAndID(name, x.ID, p.width-39))
	}
	if left > 0 {
		p.para("  ", fmt.Sprintf("%s without a job not listed; --all lists them.", countedAs(left, "rarer cause", "rarer causes")))
	}
}

// drifts writes which shares rose or fell in the last two seasons, where that is
// telling.
func (p *printer) drifts(f *familyPriors) {
	var list []learn.Prior
	for _, x := range f.Priors {
		if x.Rose != nil && really(x) >= telling && max(x.RecentJobs, x.BeforeJobs) >= fewTelling {
			list = append(list, x)
		}
	}
	if len(list) == 0 {
		return
	}
	surest := func(x learn.Prior) float64 { return math.Round(really(x) * 1e9) }
	slices.SortStableFunc(list, func(a, b learn.Prior) int { return cmp.Compare(surest(b), surest(a)) })
	since := f.Recent
	if day, err := time.Parse(time.DateOnly, f.Recent); err == nil {
		since = day.Format("2 Jan 2006")
	}
	p.para("  ", fmt.Sprintf("What rose or fell since %s, the last two seasons, against all before, and the chance that it really did:", since))
	p.line("  before  jobs  recent  jobs  chance        cause")
	for _, x := range list {
		way := "rose"
		if *x.Rose < 0.5 {
			way = "fell"
		}
		p.line("  %6s  %4s  %6s  %4s  %6s  %s  %s", share(*x.Before), jobsWord(x.BeforeJobs), share(*x.Recent), jobsWord(x.RecentJobs), percent(really(x)), way,
			nameAndID(x.Name, x.ID, p.width-44))
	}
}

// really is the chance that a share rose, or fell where that is likelier.
func really(x learn.Prior) float64 { return math.Max(*x.Rose, 1-*x.Rose) }

// share writes how often a cause is the root cause; these are small numbers.
func share(p float64) string { return fmt.Sprintf("%.1f%%", 100*p) }

func jobsWord(n int) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}
