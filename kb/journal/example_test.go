package journal_test

import (
	"fmt"
	"log"
	"os"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// A job is opened, a check recorded, and the job closed. Every call returns
// when the disk has the event.
func Example() {
	dir, err := os.MkdirTemp("", "example-shop-")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	s, err := journal.Open(dir, journal.Options{Program: "example"})
	if err != nil {
		log.Fatal(err)
	}
	defer s.Close()

	id, err := s.OpenJob(func(job string) []journal.Event {
		e := s.NewEvent(journal.KindJobOpened, job, "kim")
		e.Family, e.Complaint = "oil-furnace", "starts, then locks out"
		return []journal.Event{e}
	})
	if err != nil {
		log.Fatal(err)
	}
	found := s.NewEvent(journal.KindFindingRecorded, id, "kim")
	found.Finding = &kb.Finding{Kind: kb.KindCheck, ID: "flame-eye-resistance", Reading: new(150000.0)}
	closed := s.NewEvent(journal.KindJobClosed, id, "kim")
	closed.Closing = &kb.Closing{Causes: []string{"flame-eye-sooted"}, Confidence: 0.9}
	if _, err := s.Append(found, closed); err != nil {
		log.Fatal(err)
	}
	job, err := s.Job(id)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("job", job.ID, job.Family, "closed:", job.Closed(), "causes:", job.Closing.Causes)
	// Output: job 1 oil-furnace closed: true causes: [flame-eye-sooted]
}
