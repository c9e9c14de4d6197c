package cli

import (
	"fmt"
	"strings"

	"sootsayer/data"
	"sootsayer/kb"
	"sootsayer/ranker"
)

// What the demo is about besides the call it tells.
const (
	demoPerson  = "kim" // a technician of the invented shop
	demoFile    = "jobs.csv"
	demoMinutes = "110"
)

// What is shown of the answers, by the beginnings of their headings.
var (
	everything  = demoParts{all: true}
	openedParts = demoParts{items: map[string]int{"Job": 3, "What it probably is": 5, "HOLD": 2, "Next": 2}}
	cardParts   = demoParts{items: map[string]int{"What it probably is": 4, "HOLD": 2, "Next": wholeIfShort, "Stop": whole, "Again": whole, "Call": whole}}
	recordParts = demoParts{items: map[string]int{"What it probably is": 3, "HOLD": 2, "Next": 2, "Stop": whole, "Again": whole, "Call": whole}}
	briefParts  = demoParts{items: map[string]int{"What it probably is": 2, "HOLD": 1, "Next": 0, "Stop": whole, "Again": whole, "Call": whole}}
	whyParts    = demoParts{items: map[string]int{"Why these causes": 5}}
)

// tell tells the story step by step.
func (d *demo) tell() error {
	if err := d.welcome(); err != nil {
		return err
	}
	if err := d.step("What the shop has seen", "Three seasons of closed jobs come in from a table. The base starts with estimates; "+
		"from here on the shop's own jobs count too.", everything, strings.NewReader(data.DemoJobs()), "job", "import", "-"); err != nil {
		return err
	}
	call, trouble, err := d.choose()
	if err != nil {
		return err
	}
	if err := d.step("The phone rings", "The complaint goes in as the customer says it. What is clear in it is taken as symptoms, "+
		"the causes are ranked, and the check is advised that tells most for its minutes. What kim does not know: it is "+
		strings.ToLower(trouble.name())+".", openedParts, nil, "job", "open", call.complaint, "--family", call.family, "--appliance", call.appliance); err != nil {
		return err
	}
	if err := d.work(trouble); err != nil {
		return err
	}
	closing := []string{"job", "close", "--cause", call.cause, "--minutes", demoMinutes}
	if part := trouble.part(); part != "" {
		closing = append(closing, "--used", part)
	}
	if err := d.step("Cured and closed", "The fix is done, operation is proved, and the job is closed with what it was. "+
		"That is all it takes for the shop to learn.", everything, nil, closing...); err != nil {
		return err
	}
	family, _ := trouble.base.Family(call.family)
	return d.step("What the shop knows now", "How often each cause is behind such calls: by the base's estimate, and by now, "+
		"with the range that holds it nine times in ten and the jobs behind it.",
		demoParts{items: map[string]int{family.Name: 9}}, nil, "priors", "--family", call.family)
}

// work does what is advised, with the results that the trouble shows, until
// there is something to fix.
func (d *demo) work(trouble *fault) error {
	for n := 1; n <= demoChecks; n++ {
		advice, err := d.advice()
		if err != nil || advice.Do != ranker.DoCheck {
			return err
		}
		found, err := trouble.shows(advice.Kind, advice.ID)
		if err != nil {
			return err
		}
		show := briefParts
		switch {
		case !d.card:
			show = cardParts
		case n <= 2:
			show = recordParts
		}
		title, says := finding(trouble.base, &found)
		if err := d.step(title, says, show, nil, "job", "record", found.ID+"="+found.Outcome); err != nil {
			return err
		}
		if n == 2 {
			if err := d.step("Why?", "What each finding speaks for and against, in bits. One bit doubles the odds.", whyParts, nil, "job", "next", "--explain"); err != nil {
				return err
			}
		}
	}
	return nil
}

// finding tells of a check that was done, and what was found.
func finding(b *kb.Base, f *kb.Finding) (title, says string) {
	if s, ok := b.Symptom(f.ID); ok && f.Kind == kb.KindSymptom {
		return fmt.Sprintf("Asked: %s? %s.", s.Name, map[string]string{kb.No: "No", kb.Yes: "Yes"}[f.Outcome]), ""
	}
	k, ok := b.Check(f.ID)
	if !ok {
		return f.ID, ""
	}
	return "Done: " + k.Name, "Found: " + resultWords(f, k) + "."
}

func (d *demo) welcome() error {
	if d.json {
		return nil
	}
	p := d.paper()
	p.heading("One call at " + data.DemoShop + ", an invented shop")
	p.line("")
	p.para("", "The shop, its jobs and this call are invented. The program is not: every command below is run as you would run it, "+
		"in a store that is thrown away at the end. One trouble stands behind the call, and each check shows what that trouble mostly shows. "+
		"Answers are shortened; [...] says by how much.")
	p.line("")
	p.caution("", strings.Join(strings.Fields(safetyNote), " "))
	return d.wait()
}

func (d *demo) farewell(kept bool) {
	p := d.paper()
	p.line("")
	p.heading("Your own shop")
	p.para("", "Nothing of this was written to your store. To begin with your own calls:")
	p.line("  sootsayer job open WORDS --family FAMILY    the next call that comes in")
	p.line("  sootsayer job import FILE.csv               jobs that you have closed before")
	p.line("  sootsayer base list families                kinds of equipment in the base")
	p.line("  sootsayer help                              everything else")
	if kept {
		p.line("")
		p.line("The demo's store was kept. Look around in it with:")
		p.line("  sootsayer --store %s job list --all", d.store)
	}
}
