package journal

import (
	"bytes"
	"fmt"
	"io"
	"slices"
)

// checkTree tells whether bolt can walk the file without being led astray: no
// page number that leads outside or in a circle, no element outside its page,
// keys in order. When full is false it reads only what leads to other pages,
// about a hundredth of the file, which is little enough for every opening. It
// returns what is wrong, in words, in no more than a few sentences.
//
// bolt's own check cannot do this: it follows such a number itself, in a
// goroutine of its own, where nobody can catch the fault.
func checkTree(r io.ReaderAt, full bool) []string {
	h, ok := newestHeader(r)
	if !ok {
		return []string{"neither of its two headers can be read"}
	}
	w := &pageWalk{r: r, pages: h.pages, full: full, seen: make(map[uint64]bool)}
	w.freelist(h.freelist)
	w.page(h.root, true)
	return w.wrong
}

// maxWrong is after how many faults a walk ends.
const maxWrong = 10

type pageWalk struct {
	r     io.ReaderAt
	pages uint64
	full  bool
	seen  map[uint64]bool
	wrong []string
}

func (w *pageWalk) fault(format string, args ...any) {
	w.wrong = append(w.wrong, fmt.Sprintf(format, args...))
}

// read reads a page, with the pages that belong to it when whole is set, and
// checks what every page has. It returns nil when the page is of no use.
func (w *pageWalk) read(id uint64, whole bool) pageOf {
	if id < 2 || id >= w.pages {
		w.fault("page %d is led to, but there are %d", id, w.pages)
		return nil
	}
	p := make(pageOf, pageHead)
	if _, err := w.r.ReadAt(p, int64(id)*pageSize); err != nil {
		w.fault("page %d: %v", id, err)
		return nil
	}
	n := uint64(p.overflow()) + 1
	if p.id() != id || id+n > w.pages {
		w.fault("page %d begins as no page does", id)
		return nil
	}
	for i := id; i < id+n; i++ {
		if w.seen[i] {
			w.fault("page %d is led to twice", i)
			return nil
		}
		w.seen[i] = true
	}
	if whole {
		p = slices.Grow(p, int(n*pageSize))[:n*pageSize]
		if _, err := w.r.ReadAt(p, int64(id)*pageSize); err != nil {
			w.fault("page %d: %v", id, err)
			return nil
		}
	}
	return p
}

// page walks a page of a bucket and all below it. Leaves of the topmost bucket
// hold the other buckets.
func (w *pageWalk) page(id uint64, top bool) {
	if len(w.wrong) >= maxWrong {
		return
	}
	p := w.read(id, false)
	if p == nil {
		return
	}
	if p.flags() == leafFlag && !top && !w.full {
		return
	}
	for i := range uint64(p.overflow()) + 1 {
		delete(w.seen, id+i) // it is read again, whole
	}
	if p = w.read(id, true); p == nil {
		return
	}
	w.elements(p, top)
}

// elements walks what is in a page.
func (w *pageWalk) elements(p pageOf, top bool) {
	if f := p.flags(); f != leafFlag && f != branchFlag {
		w.fault("page %d is neither leaf nor branch", p.id())
		return
	}
	if p.flags() == branchFlag && p.count() == 0 {
		w.fault("page %d leads nowhere", p.id())
	}
	var last []byte
	for i := range p.count() {
		e, ok := p.element(i)
		if !ok || i > 0 && bytes.Compare(last, e.key) >= 0 {
			w.fault("element %d of page %d is not where it should be", i, p.id())
			return
		}
		last = e.key
		switch {
		case p.flags() == branchFlag:
			w.page(e.page, top)
		case e.bucket:
			w.bucket(e)
		}
	}
}

// bucket walks a bucket inside another.
func (w *pageWalk) bucket(e element) {
	if inner, ok := e.inline(); ok {
		if inner.flags() != leafFlag {
			w.fault("the list %q cannot be read", e.key)
			return
		}
		w.elements(inner, false)
		return
	}
	if len(e.value) < bucketHead || order.Uint64(e.value) == 0 {
		w.fault("the list %q cannot be read", e.key)
		return
	}
	w.page(order.Uint64(e.value), false)
}

// freelist checks the list of free pages.
func (w *pageWalk) freelist(id uint64) {
	p := w.read(id, true)
	if p == nil {
		return
	}
	n, at := uint64(p.count()), uint64(pageHead)
	if n == manyFree {
		n, at = order.Uint64(p[pageHead:]), pageHead+8
	}
	if p.flags() != freelistFlag || n > (uint64(len(p))-at)/8 {
		w.fault("the list of free pages cannot be read")
		return
	}
	for i := range n {
		if free := order.Uint64(p[at+8*i:]); free < 2 || free >= w.pages {
			w.fault("page %d is listed as free, but there are %d", free, w.pages)
			return
		}
	}
}
