package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sootsayer/cmd/internal/shop"
	"sootsayer/data"
)

// TestStockOfTheDemoShop is the parts clerk of the invented shop on the morning of
// the demo: the jobs are imported, a truck and a shelf are counted, and every
// question has a sensible answer.
func TestStockOfTheDemoShop(t *testing.T) {
	dir := t.TempDir()
	jobs := filepath.Join(dir, "jobs.csv")
	if err := os.WriteFile(jobs, []byte(data.DemoJobs()), 0o600); err != nil {
		t.Fatal(err)
	}
	getenv := func(name string) string {
		return map[string]string{"SOOTSAYER_STORE": filepath.Join(dir, "store"), "SOOTSAYER_BY": "kim"}[name]
	}
	run := func(words ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		if code := Run(context.Background(), words, Env{In: strings.NewReader(""), Out: &out, Err: &errs, Getenv: getenv, Now: data.DemoDay}); code != ExitDone {
			t.Fatalf("sootsayer %s: exit %d\n%s%s", strings.Join(words, " "), code, out.String(), errs.String())
		}
		if long := tooLong(out.String(), 80); long != "" && words[len(words)-1] != "--json" {
			t.Errorf("sootsayer %s prints a line over 80 characters:\n%s", strings.Join(words, " "), long)
		}
		return out.String()
	}
	ask := func(into any, words ...string) {
		t.Helper()
		if err := json.Unmarshal([]byte(run(append(words, "--json")...)), into); err != nil {
			t.Fatal(err)
		}
	}
	run("job", "import", jobs)
	text := run("stock", "forecast")
	for _, want := range []string{"5 Oct 2026", "Aug 2023 to May 2026", "busy from", "fuel-filter-used-oil"} {
		if !strings.Contains(text, want) {
			t.Errorf("stock forecast does not say %q:\n%s", want, text)
		}
	}
	var forecast []forecastJSON
	ask(&forecast, "stock", "forecast")
	never := 0
	for i, f := range forecast {
		if f.Quantiles["0.5"] > f.Quantiles["0.9"] || f.Quantiles["0.9"] > f.Quantiles["0.95"] || f.Mean < 0 || f.Days != 90 || i > 0 && f.Mean > forecast[i-1].Mean {
			t.Errorf("forecast %+v", f)
		}
		if f.Class == "none" {
			never++
		}
	}
	if len(forecast) < 80 || never < 10 || forecast[0].Mean > 40 {
		t.Errorf("%d forecasts, %d of parts that never sold, the greatest %+v", len(forecast), never, forecast[0])
	}
	var order []shop.OrderRow
	ask(&order, "stock", "order", "--budget", "800")
	var cost float64
	for _, r := range order {
		cost += *r.Cost
	}
	if cost > 800 || cost < 600 {
		t.Errorf("%v spent of 800", cost)
	}
	run("stock", "count", "truck-1", "--new-place", "fuel-filter-used-oil=2", "nozzle-085-80-hollow=1")
	run("stock", "count", "shelf", "nozzle-075-80-hollow=2", "nozzle-100-80-solid=1", "flame-eye=3")
	var truck shop.Truck
	ask(&truck, "stock", "truck", "--money", "600", "--jobs", "6", "--place", "truck-1")
	if truck.Filled < 0.6 || truck.Filled > 0.9 || truck.Bound-truck.Filled > 0.02 || truck.Cost > 600 || *truck.NowFilled >= truck.Filled {
		t.Errorf("truck %+v", truck)
	}
	run("job", "open", "starts", "then", "locks", "out", "--family", "oil-furnace")
	run("job", "record", "chamber-clear=ok", "spark-look=ok", "nozzle-look=plugged")
	var bring shop.Bringing
	ask(&bring, "stock", "bring")
	if !(bring.FirstVisit > bring.Truck+0.1) || bring.Place != "truck-1" || len(bring.Cautions) < 3 {
		t.Errorf("bring %+v", bring)
	}
	for _, words := range [][]string{{"stock", "order"}, {"stock", "order", "flame-eye"}, {"stock", "order", "--economic"}, {"stock", "bring"}, {"stock", "health", "--all"},
		{"stock", "score"}, {"stock", "truck", "--slots", "25", "--place", "truck-1"}, {"stock", "forecast", "flame-eye"}, {"stock", "forecast", "--all"}} {
		if run(words...) == "" {
			t.Errorf("sootsayer %s says nothing", strings.Join(words, " "))
		}
	}
}
