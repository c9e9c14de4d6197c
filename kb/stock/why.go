package stock

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// inWords are the methods as a sentence names them.
var inWords = map[string]string{
	"croston":    "Croston's method",
	"sba":        "Croston's method, corrected",
	"sbj":        "Croston's method, corrected",
	"tsb":        "chance and size smoothed apart",
	"smoothing":  "exponential smoothing",
	"seasonal":   "the same month of past years",
	"discounted": "its own past, older months counting less",
	"pooled":     "its own past, pulled towards all parts'",
	"levels":     "levels of demand that all parts share",
	"knowledge":  "the jobs that will come and what their causes take",
}

// why says how the part was used and why the method was chosen.
func (c *Forecast) why(h *History, judged int) string {
	var b strings.Builder
	b.WriteString(usedInWords(h))
	if n := len(c.Missing); n == 1 {
		fmt.Fprintf(&b, ", %s is missing", c.Missing[0])
	} else if n > 1 {
		fmt.Fprintf(&b, ", %d months are missing", n)
	}
	fmt.Fprintf(&b, ": %s", inWords[c.Method])
	switch {
	case c.Class == NeverSold && c.Method == "knowledge":
	case c.Class == NeverSold || judged == 0:
		b.WriteString(", best on all parts")
	case c.Losses[0].Pinball <= c.next().Pinball:
		fmt.Fprintf(&b, ", closest over its last %s (loss %s a month, next %s with %s)",
			count(judged, "month"), brief(c.Losses[0].Pinball), c.next().Method, brief(c.next().Pinball))
	default:
		fmt.Fprintf(&b, ", best on all %s parts (loss %s a month on this one, %s %s)",
			c.Class, brief(c.Losses[0].Pinball), c.next().Method, brief(c.next().Pinball))
	}
	return b.String()
}

// next returns the method with the least loss on the part besides the chosen.
func (c *Forecast) next() MethodLoss {
	best := c.Losses[1]
	for _, l := range c.Losses[2:] {
		if l.Pinball < best.Pinball {
			best = l
		}
	}
	return best
}

// brief writes a loss with two digits that count.
func brief(x float64) string {
	if x >= 100 {
		return strconv.Itoa(int(math.Round(x)))
	}
	return strconv.FormatFloat(x, 'g', 2, 64)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// usedInWords says in how many months a part was used, and how many at a time.
func usedInWords(h *History) string {
	months, used := h.Known()
	if months == 0 {
		return "no history"
	}
	if used == 0 {
		return "never used in " + count(months, "month")
	}
	s := fmt.Sprintf("used in %d of %s", used, count(months, "month"))
	if low, high := h.atATime(); high > 0 {
		switch {
		case low == high && low == 1:
			return s + ", always one at a time"
		case low == high:
			return fmt.Sprintf("%s, always %d at a time", s, low)
		}
		return fmt.Sprintf("%s, %d to %d at a time", s, low, high)
	}
	low, high := 0, 0
	for _, n := range h.Pieces {
		if n > 0 {
			if low == 0 {
				low = n
			}
			low, high = min(low, n), max(high, n)
		}
	}
	if low == high {
		return fmt.Sprintf("%s, always %d", s, low)
	}
	return fmt.Sprintf("%s, %d to %d a month", s, low, high)
}

// atATime returns the fewest and most pieces of one use; 0 where single uses are
// not known.
func (h *History) atATime() (low, high int) {
	for n, uses := range h.ByPieces {
		if uses > 0 {
			if low == 0 {
				low = n
			}
			high = n
		}
	}
	return low, high
}
