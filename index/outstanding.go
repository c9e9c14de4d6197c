package index

import "math"

// surprise is Dunning's log-likelihood ratio -2 ln lambda of a word: how surely
// the share of texts that hold it differs between two kinds of texts. with of all
// texts of the first kind hold it, otherWith of otherAll of the second. For
// large numbers it is distributed as chi squared with one degree of freedom
// where the shares are alike; unlike Pearson's statistic it does not overrate
// rare words.
//
// T. Dunning, Accurate Methods for the Statistics of Surprise and Coincidence,
// Computational Linguistics 19(1), 1993, section 5:
//
//	2 sum k ln(k/expected) over the four cells of the table
func surprise(with, all, otherWith, otherAll int) float64 {
	cells := [2][2]float64{
		{float64(with), float64(all - with)},
		{float64(otherWith), float64(otherAll - otherWith)},
	}
	total := float64(all + otherAll)
	sum := 0.0
	for _, row := range cells {
		for j, k := range row {
			if k > 0 {
				expected := (row[0] + row[1]) * (cells[0][j] + cells[1][j]) / total
				sum += k * math.Log(k/expected)
			}
		}
	}
	return max(0, 2*sum)
}

// outstandingFrom is the surprise from which a word stands out: by chance less
// than one word in ten thousand does (P. Rayson, D. Berridge and B. Francis,
// Extending the Cochran rule for the comparison of word frequencies between
// corpora, 2004, advise this level where counts are small).
const outstandingFrom = 15.13

// outstanding tells whether a word is surely more frequent in the first kind of
// texts than in the second.
func outstanding(with, all, otherWith, otherAll int) bool {
	return with*otherAll > otherWith*all && surprise(with, all, otherWith, otherAll) >= outstandingFrom
}
