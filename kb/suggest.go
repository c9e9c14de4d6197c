package kb

// Nearest returns the word of have that is most like want, for messages such as
// "did you mean". Likeness is the optimal string alignment distance: the number
// of letters put in, taken out, changed or swapped with their neighbour
// (Damerau 1964; Levenshtein 1966). It is false when nothing is near: more than
// a third of the letters differ, or have is empty. Ties go to the word that
// comes first.
func Nearest(want string, have []string) (string, bool) {
	w := []rune(want)
	best, bestDistance := "", max(1, len(w)/3)+1
	for _, h := range have {
		if h == want {
			return h, true
		}
		if letterDistance(want, h) >= bestDistance {
			continue // most words end here: the distance takes far longer
		}
		if d := EditDistance(w, []rune(h), bestDistance-1); d < bestDistance {
			best, bestDistance = h, d
		}
	}
	return best, best != ""
}

// letterDistance is a lower bound of editDistance that minds neither order nor
// letters beyond ASCII: one change puts in and takes out one letter at most.
func letterDistance(a, b string) int {
	var count [128]int
	for _, r := range a {
		if r < 128 {
			count[r]++
		}
	}
	for _, r := range b {
		if r < 128 {
			count[r]--
		}
	}
	more, fewer := 0, 0
	for _, n := range count {
		more, fewer = more+max(n, 0), fewer+max(-n, 0)
	}
	return max(more, fewer)
}

// EditDistance returns the optimal string alignment distance of two words: the
// least number of single letters added, dropped, changed or swapped with their
// neighbour that turns a into b, no letter touched twice (Damerau 1964 named the
// four mistakes; Levenshtein 1966 the distance). It stops counting beyond most
// and returns most+1.
func EditDistance(a, b []rune, most int) int {
	if d := len(a) - len(b); d > most || -d > most {
		return most + 1
	}
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, before[j-2]+1)
			}
			row[j] = d
			least = min(least, d)
		}
		if least > most {
			return most + 1
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], most+1)
}
