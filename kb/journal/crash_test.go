package journal

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestCrash kills a process that appends, again and again on the same store,
// and looks for every event that it had acknowledged.
func TestCrash(t *testing.T) {
	rounds := 100
	if testing.Short() {
		rounds = 20
	}
	dir := filepath.Join(t.TempDir(), "shop")
	random := rand.New(rand.NewPCG(1, 2))
	acknowledged := make(map[string]bool)
	mid := 0
	for round := range rounds {
		lines := killed(t, dir, time.Duration(random.IntN(25_000))*time.Microsecond)
		for _, line := range lines {
			for _, id := range strings.Fields(line) {
				acknowledged[id] = true
			}
		}
		extra := checkAfterCrash(t, dir, round, acknowledged)
		if extra > 0 {
			mid++
		}
	}
	t.Logf("%d events acknowledged in %d rounds; in %d rounds an event was there that had not been acknowledged yet", len(acknowledged), rounds, mid)
	if len(acknowledged) < rounds {
		t.Errorf("only %d events were acknowledged in %d rounds; the test proves little", len(acknowledged), rounds)
	}
}

// killed starts an appending child, kills it a while after its first
// acknowledgement and returns the whole lines that it printed.
func killed(t *testing.T, dir string, after time.Duration) []string {
	t.Helper()
	p := start(t, "append", dir)
	first, err := p.lines.ReadString('\n')
	if err != nil {
		t.Fatalf("the child ended before it acknowledged anything: %v", err)
	}
	lines := []string{first}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for {
			line, err := p.lines.ReadString('\n')
			if err != nil {
				return // a line that is not whole was not printed to the end
			}
			lines = append(lines, line)
		}
	}()
	time.Sleep(after)
	if err := p.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-done
	if err := p.cmd.Wait(); err == nil {
		t.Fatal("the child ended by itself")
	}
	return lines
}

// checkAfterCrash opens the store, verifies it and looks for the events. It
// returns how many were there without having been acknowledged since the last
// round, and takes them as acknowledged from now on.
func checkAfterCrash(t *testing.T, dir string, round int, acknowledged map[string]bool) (extra int) {
	t.Helper()
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatalf("round %d: %v", round, err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	if r, err := s.Verify(context.Background()); err != nil || !r.OK() {
		t.Fatalf("round %d: Verify = %v, %v", round, r.Troubles, err)
	}
	there := make(map[string]bool)
	together := make(map[string]int)
	for e, err := range s.EventsSince(0) {
		if err != nil {
			t.Fatal(err)
		}
		there[e.ID] = true
		if e.By != "single" {
			together[e.By]++
		}
		if !acknowledged[e.ID] {
			acknowledged[e.ID] = true
			if e.Kind != KindJobOpened { // these are never printed
				extra++
			}
		}
	}
	for id := range acknowledged {
		if !there[id] {
			t.Errorf("round %d: event %s was acknowledged and is gone", round, id)
		}
	}
	for id, n := range together {
		if n != 3 {
			t.Errorf("round %d: of three events appended together with %s there are %d", round, id, n)
		}
	}
	return extra
}

// TestCrashWhileCreating kills processes that begin a store: what is there
// afterwards is a whole store or none.
func TestCrashWhileCreating(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	rounds := 20
	if testing.Short() {
		rounds = 5
	}
	made := 0
	for range rounds {
		dir := filepath.Join(t.TempDir(), "shop")
		p := start(t, "append", dir)
		for wait := time.Now(); time.Since(wait) < time.Second; time.Sleep(100 * time.Microsecond) {
			if _, err := os.Stat(dir); err == nil {
				break
			}
		}
		time.Sleep(time.Duration(random.IntN(2_000)) * time.Microsecond)
		if err := p.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = p.cmd.Wait() // it was killed
		if _, err := os.Stat(filepath.Join(dir, fileName)); err == nil {
			made++
		}
		s, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		wantSound(t, s)
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Logf("in %d of %d rounds the store was there when its process was killed", made, rounds)
}

// TestCrashWhileSalvaging kills processes that salvage: at every moment there
// is a whole journal with all events.
func TestCrashWhileSalvaging(t *testing.T) {
	rounds := 15
	if testing.Short() {
		rounds = 4
	}
	events := manyEvents(40)
	dir := compacted(t, events...)
	random := rand.New(rand.NewPCG(7, 8))
	for range rounds {
		before := kept(t, dir)
		p := start(t, "salvage", dir)
		for wait := time.Now(); kept(t, dir) == before && time.Since(wait) < 10*time.Second; {
			time.Sleep(time.Millisecond)
		}
		time.Sleep(time.Duration(random.IntN(30_000)) * time.Microsecond)
		if err := p.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = p.cmd.Wait() // it was killed
		s := openTest(t, dir, Options{})
		wantSound(t, s)
		if n, err := s.Seq(); n != uint64(len(events)) || err != nil {
			t.Fatalf("%d events are left, %v, want %d", n, err, len(events))
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	n := kept(t, dir)
	if n < rounds {
		t.Errorf("only %d salvages were finished in %d rounds", n, rounds)
	}
	t.Logf("%d salvages were finished in %d rounds", n, rounds)
}

// kept counts the files that salvages have kept.
func kept(t *testing.T, dir string) int {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, fileName+".damaged-*"))
	if err != nil {
		t.Fatal(err)
	}
	return len(files)
}
