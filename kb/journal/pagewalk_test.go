package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestLedAstray changes what leads from page to page in ways that would make
// bolt run in circles or read outside the file, which ends a process.
func TestLedAstray(t *testing.T) {
	events := manyEvents(200)
	whole := compacted(t, events...)
	b, err := os.ReadFile(filepath.Join(whole, fileName))
	if err != nil {
		t.Fatal(err)
	}
	h, ok := newestHeader(bytes.NewReader(b))
	if !ok {
		t.Fatal("the file has no header")
	}
	branch := -1
	for at := 2 * pageSize; at < int(h.pages)*pageSize; at += pageSize {
		if p := pageOf(b[at:]); p.flags() == branchFlag && p.id() == uint64(at/pageSize) {
			branch = at
		}
	}
	if branch < 0 {
		t.Fatal("the file has no branch; take more events")
	}
	free, root := int(h.freelist)*pageSize, int(h.root)*pageSize
	child := func(i int) int { return branch + pageHead + i*elementSize + 8 }
	tests := []struct {
		name string
		do   func(b []byte)
		want string
	}{
		{"a page leads to itself", func(b []byte) { order.PutUint64(b[child(0):], uint64(branch/pageSize)) }, "led to twice"},
		{"a page leads to the top", func(b []byte) { order.PutUint64(b[child(0):], h.root) }, "led to twice"},
		{"two lead to one", func(b []byte) { copy(b[child(0):child(0)+8], b[child(1):child(1)+8]) }, "led to twice"},
		{"a page leads far outside", func(b []byte) { order.PutUint64(b[child(0):], 1<<40) }, "is led to, but there are"},
		{"a page leads to a header", func(b []byte) { order.PutUint64(b[child(0):], 1) }, "page 1 is led to"},
		{"a page bears another number", func(b []byte) { order.PutUint64(b[branch:], 7777) }, "begins as no page does"},
		{"a page is endless", func(b []byte) { order.PutUint32(b[branch+12:], 1<<30) }, "begins as no page does"},
		{"a page is of no kind", func(b []byte) { order.PutUint16(b[branch+8:], 0x40) }, "neither leaf nor branch"},
		{"a branch is empty", func(b []byte) { order.PutUint16(b[branch+10:], 0) }, "leads nowhere"},
		{"a branch is too full", func(b []byte) { order.PutUint16(b[branch+10:], 60000) }, "not where it should be"},
		{"a key lies outside", func(b []byte) { order.PutUint32(b[branch+pageHead:], 1<<31) }, "not where it should be"},
		{"keys are out of order", func(b []byte) { b[branch+pageHead+int(order.Uint32(b[branch+pageHead:]))] = 0xff }, "not where it should be"},
		{"a list is cut off", func(b []byte) { order.PutUint32(b[root+pageHead+12:], 8) }, "cannot be read"},
		{"too many free pages", func(b []byte) { order.PutUint16(b[free+10:], 5000) }, "free pages cannot be read"},
		{"very many free pages", func(b []byte) {
			order.PutUint16(b[free+10:], manyFree)
			order.PutUint64(b[free+pageHead:], 1<<30)
		}, "free pages cannot be read"},
		{"a free page outside", func(b []byte) {
			order.PutUint16(b[free+10:], 1)
			order.PutUint64(b[free+pageHead:], 1<<30)
		}, "is listed as free"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			copyFile(t, filepath.Join(whole, fileName), filepath.Join(dir, fileName))
			damage(t, dir, func(b []byte) []byte { tt.do(b); return b })
			f, err := os.Open(filepath.Join(dir, fileName))
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			for _, full := range []bool{false, true} {
				if err := checkTree(f, full); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), tt.want) {
					t.Errorf("checkTree(full %v) = %v, want ErrDamaged with %q", full, err, tt.want)
				}
			}
			for _, readOnly := range []bool{true, false} {
				if _, err := Open(dir, Options{ReadOnly: readOnly}); !errors.Is(err, ErrDamaged) {
					t.Errorf("Open(read-only %v) = %v, want ErrDamaged", readOnly, err)
				}
			}
			r, err := Salvage(dir, quick)
			if err != nil || r.Saved != len(events) {
				t.Errorf("Salvage = %v, %v, want all %d events saved: they stand on other pages", r, err, len(events))
			}
		})
	}
}

// TestCheckTreeSound walks files of all sizes that are well.
func TestCheckTreeSound(t *testing.T) {
	s := openTest(t, t.TempDir(), Options{})
	for i, e := range manyEvents(60) {
		mustAppend(t, s, e)
		for _, full := range []bool{false, true} {
			if err := checkTree(s.file, full); err != nil {
				t.Fatalf("after %d events checkTree found %v", i+1, err)
			}
		}
	}
}
