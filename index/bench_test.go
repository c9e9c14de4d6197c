package index

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"sootsayer/kb"
)

// largeBase is a made-up base of n checks whose words are drawn from the
// complaints, so that common words are common.
func largeBase(t testing.TB, n int) (*kb.Base, []string) {
	t.Helper()
	var words, asked []string
	for _, c := range readComplaints(t) {
		words = append(words, strings.Fields(c.text)...)
		asked = append(asked, c.text)
	}
	r := rand.New(rand.NewPCG(3, 5))
	text := func(n int) string {
		picked := make([]string, n)
		for i := range picked {
			picked[i] = words[r.IntN(len(words))]
		}
		return strings.Join(picked, " ")
	}
	b := shippedBase(t)
	for i := range n - len(entriesOf(b)) {
		c := kb.Check{ID: fmt.Sprintf("check-%05d", i), Name: text(5)}
		for range 4 {
			c.How = append(c.How, text(12))
		}
		b.Checks = append(b.Checks, c)
	}
	b.Reindex()
	return b, asked
}

// searchTimes asks every question in turn, so many in all, and returns the time
// of each in rising order.
func searchTimes(t testing.TB, x *Index, asked []string, n int) []time.Duration {
	t.Helper()
	times := make([]time.Duration, 0, n)
	for i := range n {
		start := time.Now()
		if _, err := x.Search(context.Background(), Query{Text: asked[i%len(asked)]}); err != nil {
			t.Fatal(err)
		}
		times = append(times, time.Since(start))
	}
	slices.Sort(times)
	return times
}

func p95(times []time.Duration) float64 {
	return float64(times[len(times)*95/100]) / float64(time.Millisecond)
}

// BenchmarkSearch10000Entries reports the 95th percentile of a search among
// 10,000 entries on disk; the promise is 5 ms.
func BenchmarkSearch10000Entries(b *testing.B) {
	base, asked := largeBase(b, 10000)
	x, err := Open(b.TempDir()+"/index", base, Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer x.Close()
	searchTimes(b, x, asked, len(asked))
	b.ResetTimer()
	times := searchTimes(b, x, asked, max(b.N, 1))
	b.ReportMetric(p95(times), "p95-ms")
}

// TestSearchTime holds the promise with room for a busy machine.
func TestSearchTime(t *testing.T) {
	if testing.Short() || raceDetector {
		t.Skip("times searches among 10,000 entries")
	}
	base, asked := largeBase(t, 10000)
	x := openMemory(t, base, Options{})
	times := searchTimes(t, x, asked, 2*len(asked))
	t.Logf("p95 %.2f ms", p95(times))
	if p := p95(times); p > 100 {
		t.Errorf("the 95th percentile of a search is %.1f ms; 5 ms are promised on an idle machine", p)
	}
}

func BenchmarkUnderstandShippedBase(b *testing.B) {
	x := openMemory(b, shippedBase(b), Options{})
	x.Understand("no heat", "")
	for b.Loop() {
		x.Understand("burnr starts then quits after 15 sec, red light blinks 3 times and it smells like oil", "oil-furnace")
	}
}

func BenchmarkOpenShippedBase(b *testing.B) {
	base := shippedBase(b)
	dir := b.TempDir() + "/index"
	open := func(dir string) {
		x, err := Open(dir, base, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := x.Close(); err != nil {
			b.Fatal(err)
		}
	}
	open(dir)
	b.Run("disk", func(b *testing.B) {
		for b.Loop() {
			open(dir)
		}
	})
	b.Run("memory", func(b *testing.B) {
		for b.Loop() {
			open("")
		}
	})
	b.Run("disk_rebuilt", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			open(fmt.Sprintf("%s/%d/index", b.TempDir(), i))
		}
	})
}
