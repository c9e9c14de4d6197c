package journal

import (
	"encoding/binary"
	"hash/fnv"
	"io"
)

// What follows reads a bolt file without bolt: to find out whether bolt can
// walk it, since a page number that leads nowhere ends the whole process, and
// to look for events in a file that it cannot. The layout is that of bbolt 1.5
// (internal/common: page.go, meta.go, bucket.go), numbers in the order of the
// machine that wrote them. A page begins with id u64, flags u16, count u16,
// overflow u32 (further pages that belong to it). A leaf has count elements of
// flags, pos, ksize, vsize, u32 each, a branch of pos u32, ksize u32, page u64;
// pos is counted from the beginning of the element.
const (
	pageHead     = 16
	elementSize  = 16
	branchFlag   = 0x01
	leafFlag     = 0x02
	freelistFlag = 0x10
	bucketFlag   = 0x01 // of a leaf element: the value is a bucket
	bucketHead   = 16   // root page u64, 0 when the bucket's page follows; sequence u64
	manyFree     = 0xFFFF

	metaMagic   = 0xED0CDAED
	metaVersion = 2
	metaSize    = 64
)

var order = binary.NativeEndian

// header is what matters of a meta page: the first two pages of a file.
type header struct {
	root, freelist uint64 // pages
	pages          uint64 // pages in use, counted from the beginning of the file
	tx             uint64
}

// readHeader reads the meta page 0 or 1 and tells whether it is sound.
func readHeader(r io.ReaderAt, page int64) (header, bool) {
	b := make([]byte, metaSize)
	if _, err := r.ReadAt(b, page*pageSize+pageHead); err != nil {
		return header{}, false
	}
	sum := fnv.New64a()
	sum.Write(b[:56]) // a hash never returns an error
	if order.Uint32(b) != metaMagic || order.Uint32(b[4:]) != metaVersion ||
		order.Uint32(b[8:]) != pageSize || order.Uint64(b[56:]) != sum.Sum64() {
		return header{}, false
	}
	return header{root: order.Uint64(b[16:]), freelist: order.Uint64(b[32:]),
		pages: order.Uint64(b[40:]), tx: order.Uint64(b[48:])}, true
}

// newestHeader returns the header that counts; ok is false when neither is
// sound.
func newestHeader(r io.ReaderAt) (h header, ok bool) {
	first, ok1 := readHeader(r, 0)
	second, ok2 := readHeader(r, 1)
	if ok2 && (!ok1 || second.tx > first.tx) {
		return second, true
	}
	return first, ok1
}

// pageOf is a page read from the file, as far as the file goes.
type pageOf []byte

func (p pageOf) id() uint64       { return order.Uint64(p) }
func (p pageOf) flags() uint16    { return order.Uint16(p[8:]) }
func (p pageOf) count() int       { return int(order.Uint16(p[10:])) }
func (p pageOf) overflow() uint32 { return order.Uint32(p[12:]) }

// element is one element of a leaf or a branch.
type element struct {
	key, value []byte
	bucket     bool   // of a leaf
	page       uint64 // of a branch
}

// element returns the i-th element; ok is false when it does not lie inside
// the page.
func (p pageOf) element(i int) (e element, ok bool) {
	at := pageHead + i*elementSize
	if at+elementSize > len(p) {
		return e, false
	}
	head := p[at:]
	field := func(n int) uint64 { return uint64(order.Uint32(head[4*n:])) }
	pos, ksize, vsize := field(1), field(2), field(3)
	if p.flags() == branchFlag {
		pos, ksize, vsize = field(0), field(1), 0
		e.page = order.Uint64(head[8:])
	}
	begin := uint64(at) + pos
	if begin+ksize+vsize > uint64(len(p)) {
		return e, false
	}
	e.key, e.value = p[begin:begin+ksize], p[begin+ksize:begin+ksize+vsize]
	e.bucket = p.flags() == leafFlag && field(0)&bucketFlag != 0
	return e, true
}

// inline returns the page of a bucket that is small enough to stand in a value.
func (e element) inline() (pageOf, bool) {
	if e.bucket && len(e.value) >= bucketHead+pageHead && order.Uint64(e.value) == 0 {
		return pageOf(e.value[bucketHead:]), true
	}
	return nil, false
}

// carve visits the keys and values of every leaf page in a file, in use or not,
// whether or not anything leads to it. What it finds need not make sense.
func carve(r io.ReaderAt, size int64, visit func(key, value []byte)) error {
	head := make(pageOf, pageHead)
	for at := int64(0); at+pageHead < size; at += pageSize {
		if _, err := r.ReadAt(head, at); err != nil {
			return err
		}
		if head.flags() != leafFlag {
			continue
		}
		page := make(pageOf, min((int64(head.overflow())+1)*pageSize, size-at))
		if _, err := r.ReadAt(page, at); err != nil {
			return err
		}
		carvePage(page, visit)
	}
	return nil
}

// carvePage visits the elements of one leaf page, as far as they lie inside it.
func carvePage(page pageOf, visit func(key, value []byte)) {
	for i := range page.count() {
		e, ok := page.element(i)
		if !ok {
			continue
		}
		if inner, ok := e.inline(); ok && inner.flags() == leafFlag {
			carvePage(inner, visit)
		} else if !e.bucket {
			visit(e.key, e.value)
		}
	}
}
