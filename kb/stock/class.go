package stock

// Class says what a part's demand is like, by how often it comes and how much
// its size varies (Syntetos, Boylan and Croston 2005, J. Operational Research
// Society 56:495-503).
type Class string

// The classes. A part that never sold has none.
const (
	Smooth       Class = "smooth"
	Erratic      Class = "erratic"
	Intermittent Class = "intermittent"
	Lumpy        Class = "lumpy"
	NeverSold    Class = "none"
)

// The cut-offs of the classes.
const (
	cutInterval = 1.32
	cutSize     = 0.49
)

// Regularity returns the mean number of months from one demand to the next, the
// first counted from the start of the history and months after the last demand
// left out; and the squared coefficient of variation of the demands' sizes, with
// n-1 below the sum of squares, 0 for a single demand. Both are 0 for a part that
// never sold. Months that are Unknown are left out.
func Regularity(pieces []int) (interval, cv2 float64) {
	var months, last, n, mean, squares float64
	for _, y := range pieces {
		if y < 0 {
			continue
		}
		months++
		if y > 0 {
			last = months
			n++
			d := float64(y) - mean
			mean += d / n
			squares += d * (float64(y) - mean)
		}
	}
	if n == 0 {
		return 0, 0
	}
	if n > 1 {
		cv2 = squares / (n - 1) / (mean * mean)
	}
	return last / n, cv2
}

// ClassOf returns the class of a history.
func ClassOf(pieces []int) Class {
	interval, cv2 := Regularity(pieces)
	switch {
	case interval == 0:
		return NeverSold
	case interval < cutInterval && cv2 < cutSize:
		return Smooth
	case interval < cutInterval:
		return Erratic
	case cv2 < cutSize:
		return Intermittent
	}
	return Lumpy
}

// correctionFor returns the form of Croston's method that suits a history: the
// correction of Syntetos and Boylan where CV2 > 2 - 1.5 interval (Kostenko and
// Hyndman 2006, J. Operational Research Society 57:1256-1257), else none.
func correctionFor(interval, cv2 float64) Correction {
	if cv2 > 2-1.5*interval {
		return SyntetosBoylan
	}
	return Uncorrected
}

// kinds is how many classes there are; kind numbers them.
const kinds = 5

func (c Class) kind() int {
	switch c {
	case Smooth:
		return 0
	case Erratic:
		return 1
	case Intermittent:
		return 2
	case Lumpy:
		return 3
	}
	return 4
}
