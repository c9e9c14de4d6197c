package index

// editDistance returns the optimal string alignment distance of two words: the
// least number of single letters added, dropped, changed or swapped with their
// neighbour that turns a into b, no letter touched twice (Damerau 1964 named the
// four mistakes; Levenshtein 1966 the distance). It stops counting beyond most
// and returns most+1.
func editDistance(a, b []rune, most int) int {
	if d := len(a) - len(b); d > most || -d > most {
		return most + 1
	}
	before, prev, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(prev[j]+1, row[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, before[j-2]+1)
			}
			row[j] = d
			least = min(least, d)
		}
		if least > most {
			return most + 1
		}
		before, prev, row = prev, row, before
	}
	return min(prev[len(b)], most+1)
}

// typingErrors is how many typing errors a word of so many letters may hold:
// none in three letters or fewer, one up to seven, then two.
func typingErrors(letters int) int {
	switch {
	case letters <= 3:
		return 0
	case letters <= 7:
		return 1
	}
	return 2
}
