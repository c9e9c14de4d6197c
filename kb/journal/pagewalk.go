package journal

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// checkTree tells whether bolt can walk the file without being led astray: no
// page number that leads outside or in a circle, no element outside its page,
// keys in order. When full is false it reads only what leads to other pages,
// about a hundredth of the file, which is enough for reading: a wrong element
// then is found when it is met. A writer would copy it. Its error matches
// ErrDamaged.
//
// bolt's own check cannot do this: it follows such a number itself, in a
// goroutine of its own, where nobody can catch the fault.
func checkTree(r io.ReaderAt, full bool) error {
	h, ok := newestHeader(r)
	if !ok {
		return damaged("neither of its two headers can be read")
	}
	w := newWalk(r, h)
	w.full = full
	w.freelist(h.freelist)
	w.page(h.root, true, 0)
	return w.err()
}

// maxWrong is after how many faults a walk ends.
const maxWrong = 10

type pageWalk struct {
	r     io.ReaderAt
	pages uint64
	full  bool
	seen  []bool
	wrong []string
	// buffers hold the page read last on each level of the tree, so that a
	// walk needs no more memory than the tree is deep.
	buffers []pageOf
}

// newWalk prepares a walk of a file that is as long as its header says.
func newWalk(r io.ReaderAt, h header) *pageWalk {
	return &pageWalk{r: r, pages: h.pages, seen: make([]bool, h.pages)}
}

func (w *pageWalk) err() error {
	if len(w.wrong) == 0 {
		return nil
	}
	return damaged("%s", strings.Join(w.wrong, "; "))
}

func (w *pageWalk) fault(format string, args ...any) {
	w.wrong = append(w.wrong, fmt.Sprintf(format, args...))
}

// read reads the first n bytes of a page, checks what every page has and marks
// it as seen. It returns nil when the page is of no use.
func (w *pageWalk) read(id uint64, n, depth int) pageOf {
	if id < 2 || id >= w.pages {
		w.fault("page %d is led to, but there are %d", id, w.pages)
		return nil
	}
	p := w.fill(id, n, depth)
	if p == nil {
		return nil
	}
	pages := uint64(p.overflow()) + 1
	if p.id() != id || id+pages > w.pages {
		w.fault("page %d begins as no page does", id)
		return nil
	}
	for i := id; i < id+pages; i++ {
		if w.seen[i] {
			w.fault("page %d is led to twice", i)
			return nil
		}
		w.seen[i] = true
	}
	if n > pageHead && pages > 1 {
		p = w.fill(id, int(pages)*pageSize, depth)
	}
	return p
}

// fill reads the first n bytes of a page into the buffer of a level.
func (w *pageWalk) fill(id uint64, n, depth int) pageOf {
	for len(w.buffers) <= depth {
		w.buffers = append(w.buffers, make(pageOf, pageSize))
	}
	if len(w.buffers[depth]) < n {
		w.buffers[depth] = make(pageOf, n)
	}
	p := w.buffers[depth][:n]
	if _, err := w.r.ReadAt(p, int64(id)*pageSize); err != nil {
		w.fault("page %d: %v", id, err)
		return nil
	}
	return p
}

// page walks a page of a bucket and all below it. Leaves of the topmost bucket
// hold the other buckets.
func (w *pageWalk) page(id uint64, top bool, depth int) {
	if len(w.wrong) >= maxWrong {
		return
	}
	n := pageSize
	if !top && !w.full {
		n = pageHead
	}
	p := w.read(id, n, depth)
	if p == nil || n == pageHead && p.flags() == leafFlag {
		return
	}
	if n == pageHead {
		if p = w.fill(id, (int(p.overflow())+1)*pageSize, depth); p == nil {
			return
		}
	}
	w.elements(p, top, depth)
}

// elements walks what is in a page.
func (w *pageWalk) elements(p pageOf, top bool, depth int) {
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
			w.page(e.page, top, depth+1)
		case e.bucket:
			w.bucket(e, depth+1)
		}
	}
}

// bucket walks a bucket inside another.
func (w *pageWalk) bucket(e element, depth int) {
	if inner, ok := e.inline(); ok {
		if inner.flags() != leafFlag {
			w.fault("the list %q cannot be read", e.key)
			return
		}
		w.elements(inner, false, depth)
		return
	}
	if len(e.value) < bucketHead || order.Uint64(e.value) == 0 {
		w.fault("the list %q cannot be read", e.key)
		return
	}
	w.page(order.Uint64(e.value), false, depth)
}

// freelist checks the list of free pages.
func (w *pageWalk) freelist(id uint64) {
	p := w.read(id, pageSize, 0)
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
