package index

// negate marks what each "no" speaks about: the next word that says something,
// and further ones joined to it by "or". A "no" inside a synonym is part of it.
func (n *analysis) negate() {
	inConcept := make([]int, len(n.tokens))
	for i, c := range n.concepts {
		for j := c.from; j < c.to; j++ {
			inConcept[j] = i + 1
		}
	}
	for i := range n.tokens {
		if (n.keys[i] == "no" || nothings[n.tokens[i].word]) && inConcept[i] == 0 {
			n.negateFrom(i+1, inConcept)
		}
	}
}

// negateReach is how many words further on a "no" still bears.
const negateReach = 6

func (n *analysis) negateFrom(from int, inConcept []int) {
	faint := -1
	for i := from; i < len(n.tokens) && i < from+negateReach; i++ {
		t := n.tokens[i]
		if t.breaks || n.joins(i) || scopeEnds[t.word] {
			break
		}
		switch {
		case n.keys[i] == "" || n.keys[i] == "no" || t.kind == numberToken:
		case inConcept[i] == 0 && faintWords[t.word]:
			if faint < 0 {
				faint = i
			}
		default:
			next := n.mark(i, inConcept)
			if next < len(n.tokens) && (n.tokens[next].word == "or" || n.tokens[next].word == "nor") {
				n.negateFrom(next+1, inConcept)
			}
			return
		}
	}
	if faint >= 0 {
		n.mark(faint, inConcept)
	}
}

// mark negates the token at i, with all of a synonym it belongs to, and returns
// the index after it.
func (n *analysis) mark(i int, inConcept []int) int {
	from, to := i, i+1
	if c := inConcept[i]; c > 0 {
		span := &n.concepts[c-1]
		span.negated = true
		from, to = span.from, span.to
	}
	for j := from; j < to; j++ {
		n.tokens[j].negated = true
	}
	return to
}
