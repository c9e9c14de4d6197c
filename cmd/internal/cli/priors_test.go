package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// seasons is a table of closed jobs of the small invented base: motors went bad
// of late.
func seasons() string {
	var b strings.Builder
	b.WriteString("job,opened,closed,family,model,appliance,complaint,symptoms,findings,tried,causes,confidence,parts,minutes,callback_of\n")
	n := 0
	add := func(year, times int, cause, parts string) {
		for i := range times {
			n++
			day := fmt.Sprintf("%d-10-%02d", year, i+1)
			fmt.Fprintf(&b, "%d,%s,%s,shop-heater,,,dead,dead,,,%s,1,%s,,\n", n, day, day, cause, parts)
		}
	}
	add(2019, 10, "nozzle-plugged", "nozzle=1")
	add(2019, 1, "motor-dead", "")
	add(2024, 8, "motor-dead", "motor-eighth-hp=1")
	add(2024, 1, "nozzle-plugged", "nozzle=1")
	return b.String()
}

// runAt runs a command with the small base at a time, and returns what it says.
func runAt(t *testing.T, now time.Time, store, in string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	env := Env{In: strings.NewReader(in), Out: &out, Err: &errs, Now: func() time.Time { return now }, Getenv: func(string) string { return "" }}
	args = append([]string{"--store", store, "--base", filepath.Join("..", "..", "..", "testdata", "smallbase"), "--by", "ann"}, args...)
	if code := Run(context.Background(), args, env); code != ExitDone {
		t.Fatalf("%v ended with %d: %s", args, code, errs.String())
	}
	return out.String()
}

// TestPriorsOfSeasons: what rose and fell of late is told beside the shares, and
// what else the jobs moved with --tables.
func TestPriorsOfSeasons(t *testing.T) {
	store, now := filepath.Join(t.TempDir(), "store"), time.Date(2025, time.March, 1, 17, 0, 0, 0, time.UTC)
	runAt(t, now, store, seasons(), "job", "import", "-")
	// By hand: 11 jobs 5.4 years back weigh 2^(-5.4/3) = 0.287 each and 9 of 0.4
	// years 0.91, 11.4 together; the nozzle's share is (7.5 + 10 x 0.287 + 0.91)
	// / (10 + 11.4) = 0.528.
	const want = `Shop heater (shop-heater)
  20 closed jobs, worth 11.4 jobs of today; the shares at the start are worth 10
  jobs.
  start    now    90% between   jobs  cause
  75.0%  52.8%  35.3% - 70.1%     11  Nozzle plugged (nozzle-plugged)
  25.0%  47.2%  29.9% - 64.7%      9  Motor dead (motor-dead)
   4.0%   1.9%   0.0% -  7.7%      -  None of the listed causes, of all jobs
  What rose or fell since 1 Jul 2023, the last two seasons, against all before,
  and the chance that it really did:
  before  jobs  recent  jobs  chance        cause
   90.9%    10   11.1%     1    >99%  fell  Nozzle plugged (nozzle-plugged)
    9.1%     1   88.9%     8    >99%  rose  Motor dead (motor-dead)

Chances of results that closed jobs moved, the most first
  start    now   jobs  result
     5%    51%     11  Does nothing at all: yes, when it is: Nozzle plugged
    90%    97%      9  Does nothing at all: yes, when it is: Motor dead

Cures, effects, minutes and parts that closed jobs moved (shop-heater)
   start      now      90% between    jobs  what
     90%      95%     79% -   >99%    11  takes the part: Replace the nozzle:
                                          Nozzle
     10%       6%     <1% -    17%     9  Motor dead brings along Nozzle plugged
     95%      96%     86% -   >99%    11  cures: Replace the nozzle
     97%      98%     92% -   >99%     9  cures: Replace the motor
    100%     100%    100% -   100%     8  takes the part: Replace the motor:
                                          Motor
`
	got := runAt(t, now, store, "", "priors", "--family", "shop-heater", "--tables")
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("priors (-want +got):\n%s", diff)
	}
	if long := tooLong(got, 80); long != "" {
		t.Errorf("a line is longer than 80 characters: %s", long)
	}

	// As data there is all of it, and the numbers do not creep within a day.
	var first string
	for _, hour := range []int{0, 9, 23} {
		text := runAt(t, time.Date(2025, time.March, 1, hour, 59, 0, 0, time.UTC), store, "", "priors", "--json", "--tables")
		if first == "" {
			first = text
		}
		if text != first {
			t.Errorf("at %d o'clock the numbers are others than at 0", hour)
		}
	}
	var out priorsJSON
	if err := json.Unmarshal([]byte(first), &out); err != nil {
		t.Fatal(err)
	}
	motor := out.Families[0].Priors[1]
	if motor.ID != "motor-dead" || motor.RecentJobs != 8 || motor.BeforeJobs != 1 || motor.Rose == nil || *motor.Rose < telling || out.Families[0].Recent != "2023-07-01" {
		t.Errorf("motor-dead is %+v since %s", motor, out.Families[0].Recent)
	}
	if next := runAt(t, now.AddDate(0, 0, 1), store, "", "priors", "--json", "--tables"); next == first {
		t.Error("a day later the jobs weigh the same")
	}
}
