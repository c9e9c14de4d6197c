package cli

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/cmd/internal/picture"
	"sootsayer/data"
	"sootsayer/ranker/score"
)

// TestScoreTable compares the score of the invented shop's jobs with the one
// that was last looked at and found good. After an edit of the base, or of how
// jobs are counted, look at it again and run:
//
//	go test ./cmd/internal/cli -run TestScoreTable -update
func TestScoreTable(t *testing.T) {
	s := newSession(t)
	file := filepath.Join(t.TempDir(), "jobs.csv")
	if err := os.WriteFile(file, []byte(data.DemoJobs()), 0o600); err != nil {
		t.Fatal(err)
	}
	s.must("job", "import", file)
	out := s.must("score")
	if long := tooLong(out, 80); long != "" {
		t.Errorf("a line is longer than 80 characters: %s", long)
	}
	name := filepath.Join("..", "..", "..", "testdata", "golden", "score.txt")
	if *update {
		if err := os.WriteFile(name, []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), out); diff != "" {
		t.Errorf("the score has changed; look at it, and if it is good: go test ./cmd/internal/cli -run TestScoreTable -update\n(-was +is):\n%s", diff)
	}
}

// scored is an invented report.
func scored() *score.Report {
	day := func(n int) time.Time { return time.Date(2024, 1, n, 0, 0, 0, 0, time.UTC) }
	from, to := day(1), day(300)
	r := &score.Report{Jobs: score.Jobs{Closed: 60, Scored: 50, First: &from, Last: &to}}
	for i := range 3 {
		bits := score.By[float64]{Learned: 2 - float64(i)/4, Authored: 2, Commonest: 4}
		r.OverTime = append(r.OverTime, score.Period{From: day(1 + 100*i), To: day(100 + 100*i), Jobs: 16, Complaint: bits, End: bits})
	}
	bins := []score.Bin{{From: 0.1, To: 0.2, Forecasts: 3, Said: 0.15, Was: 0, High: 0.5}, {From: 0.5, To: 0.6, Forecasts: 40, Said: 0.55, Was: 0.6, Low: 0.4, High: 0.7},
		{From: 0.9, To: 1, Forecasts: 7, Said: 0.97, Was: 1, Low: 0.9, High: 1}}
	r.Calibration.Complaint.First.Learned.Bins = bins[:2]
	r.Calibration.End.First.Learned.Bins = bins
	return r
}

// TestPlotScore: both formats can be read, say what they show, and are the same
// again.
func TestPlotScore(t *testing.T) {
	draw := func(format string, r *score.Report) []byte {
		var out bytes.Buffer
		if err := plotScore(&out, format, r); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	svg, picturePNG := draw(picture.SVG, scored()), draw(picture.PNG, scored())
	if !bytes.Equal(svg, draw(picture.SVG, scored())) || !bytes.Equal(picturePNG, draw(picture.PNG, scored())) {
		t.Error("drawn twice it is not the same")
	}
	var words strings.Builder
	for dec := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok {
			words.Write(text)
		}
	}
	for _, want := range []string{"How well 50 past jobs were predicted", "of 60 closed jobs", "40", fromComplaint, withAll, wayLearned, wayAuthored, wayCommonest, "Jul 2024"} {
		if !strings.Contains(words.String(), want) {
			t.Errorf("%q is not in the picture", want)
		}
	}
	img, err := png.Decode(bytes.NewReader(picturePNG))
	if err != nil {
		t.Fatal(err)
	}
	if got := img.Bounds().Dx(); got != 2*scoreWidth {
		t.Errorf("it is %d pixels wide, want %d", got, 2*scoreWidth)
	}
	less := scored()
	less.Calibration.End.First.Learned.Bins = nil
	if bytes.Equal(svg, draw(picture.SVG, less)) {
		t.Error("without the bins it looks the same")
	}
}

// TestPlotOneJob: a picture can be made of a single job.
func TestPlotOneJob(t *testing.T) {
	r := scored()
	r.OverTime = r.OverTime[:1]
	r.OverTime[0].To = r.OverTime[0].From
	r.OverTime[0].Complaint, r.OverTime[0].End = score.By[float64]{}, score.By[float64]{}
	for _, format := range []string{picture.SVG, picture.PNG} {
		if err := plotScore(io.Discard, format, r); err != nil {
			t.Errorf("%s: %v", format, err)
		}
	}
}
