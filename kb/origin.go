package kb

import "strconv"

// origin remembers where an entry was read, so that lint can point at any
// value below it. The zero origin points nowhere.
type origin struct {
	file   string
	node   *node
	broken bool // the loader found errors in the entry; lint leaves it alone
}

// pos is the place of the entry itself.
func (o origin) pos() Pos {
	if o.node == nil {
		return Pos{File: o.file}
	}
	return o.node.pos(o.file)
}

// at finds the place of a value below the entry: path holds keys of mappings
// and indexes of lists, counted from 0. Where the path leads past what was
// written, the place of its nearest written ancestor is given.
func (o origin) at(path ...string) Pos {
	n, _ := o.walk(path)
	if n == nil {
		return o.pos()
	}
	return n.pos(o.file)
}

// atKey is like at but gives the place of the last key rather than that of its
// value.
func (o origin) atKey(path ...string) Pos {
	n, key := o.walk(path)
	switch {
	case key != nil:
		return key.pos(o.file)
	case n == nil:
		return o.pos()
	}
	return n.pos(o.file)
}

// walk follows the path as far as it goes; key is nil unless the last step went
// through a mapping.
func (o origin) walk(path []string) (n, key *node) {
	n = o.node
	for _, step := range path {
		next, k := n.child(step)
		if next == nil {
			return n, nil
		}
		n, key = next, k
	}
	return n, key
}

// child returns the value under a key of a mapping, with the key, or an item of
// a list.
func (n *node) child(step string) (value, key *node) {
	if n == nil {
		return nil, nil
	}
	switch n.kind {
	case mapNode:
		for i, k := range n.keys {
			if k.text == step {
				return n.items[i], k
			}
		}
	case listNode:
		if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(n.items) {
			return n.items[i], nil
		}
	}
	return nil, nil
}

// entry is any element of a base's lists, and the settings.
type entry interface {
	source() *origin
	kind() string
	key() string // its id
}

func (s *Settings) source() *origin  { return &s.origin }
func (e *Family) source() *origin    { return &e.origin }
func (e *Component) source() *origin { return &e.origin }
func (e *State) source() *origin     { return &e.origin }
func (e *Symptom) source() *origin   { return &e.origin }
func (e *Check) source() *origin     { return &e.origin }
func (e *Cause) source() *origin     { return &e.origin }
func (e *Fix) source() *origin       { return &e.origin }
func (e *Part) source() *origin      { return &e.origin }
func (e *Hold) source() *origin      { return &e.origin }

func (s *Settings) kind() string  { return "settings" }
func (e *Family) kind() string    { return "family" }
func (e *Component) kind() string { return "component" }
func (e *State) kind() string     { return "state" }
func (e *Symptom) kind() string   { return "symptom" }
func (e *Check) kind() string     { return "check" }
func (e *Cause) kind() string     { return "cause" }
func (e *Fix) kind() string       { return "fix" }
func (e *Part) kind() string      { return "part" }
func (e *Hold) kind() string      { return "hold" }

func (s *Settings) key() string  { return "" }
func (e *Family) key() string    { return e.ID }
func (e *Component) key() string { return e.ID }
func (e *State) key() string     { return e.ID }
func (e *Symptom) key() string   { return e.ID }
func (e *Check) key() string     { return e.ID }
func (e *Cause) key() string     { return e.ID }
func (e *Fix) key() string       { return e.ID }
func (e *Part) key() string      { return e.ID }
func (e *Hold) key() string      { return e.ID }

// label names an entry in messages, such as check "draft".
func label(e entry) string {
	if e.key() == "" {
		return e.kind()
	}
	return entryLabel(e.kind(), e.key())
}

func entryLabel(kind, id string) string { return kind + " " + strconv.Quote(id) }
