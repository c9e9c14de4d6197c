package learn

import (
	"slices"

	"sootsayer/kb"
)

// verdict is what a closing says of the causes, each once.
type verdict struct {
	causes   []*cause // listed causes of the family
	roots    []*cause // those that no other of them leads to
	unlisted bool
	unknown  []string // causes that the family does not have

	// oneOf: it was one of the causes, each with the chance in parts, by the
	// family's causes, or the unlisted one.
	oneOf        bool
	parts        []float64
	unlistedPart float64
}

// notes hold what is worked out of one job after another, in the same memory.
type notes struct {
	v     verdict
	found []*kb.Finding
	still []*cause
	fixes []*fix
	other []*fix
}

// verdict reads the closing of a closed job.
func (n *notes) verdict(fam *family, job *kb.Job) *verdict {
	v := &n.v
	fam.read(v, job.Closing)
	if v.oneOf {
		n.weighCandidates(fam, v, job)
	}
	return v
}

// read sorts the causes of a closing. Of two causes of which one leads to the
// other, directly or through others, only the first is a root.
func (f *family) read(v *verdict, closing *kb.Closing) {
	*v = verdict{causes: v.causes[:0], roots: v.roots[:0], unknown: v.unknown[:0], parts: v.parts, unlistedPart: 1}
	for i, id := range closing.Causes {
		if slices.Contains(closing.Causes[:i], id) {
			continue
		}
		if id == kb.Unlisted {
			v.unlisted = true
		} else if c := f.causes[id]; c != nil {
			v.causes = append(v.causes, c)
		} else {
			v.unknown = append(v.unknown, id)
		}
	}
	if closing.OneOf {
		known := len(v.causes)
		if v.unlisted {
			known++
		}
		v.oneOf = known > 1
		v.roots = append(v.roots, v.causes...)
		return
	}
	for _, c := range v.causes {
		if !slices.ContainsFunc(v.causes, func(from *cause) bool { return from.reaches[c.index] && !c.reaches[from.index] }) {
			v.roots = append(v.roots, c)
		}
	}
}

// told tells whether the closing accounts for everything that was wrong with
// listed causes: only then its findings, cures and effects say something of
// them. One of several is told where the base knows all of them.
func (v *verdict) told() bool {
	return len(v.causes) > 0 && len(v.unknown) == 0 && (v.oneOf || !v.unlisted)
}

// part is the chance that a cause named by the closing was there.
func (v *verdict) part(c *cause) float64 {
	if v.oneOf {
		return v.parts[c.index]
	}
	return 1
}

// listedPart is the chance that a listed cause was there, where one is named.
func (v *verdict) listedPart() float64 {
	if v.oneOf && v.unlisted {
		return 1 - v.unlistedPart
	}
	return 1
}

// treated is the chance that a fix treats one of the causes.
func (v *verdict) treated(f *fix) float64 {
	var part float64
	for _, c := range v.causes {
		if c.fix == f {
			if !v.oneOf {
				return 1
			}
			part += v.parts[c.index]
		}
	}
	return part
}

// treats tells whether a fix, by its id, treats one of the causes.
func (v *verdict) treats(id string) bool {
	return slices.ContainsFunc(v.causes, func(c *cause) bool { return c.fix.id == id })
}
