package stock

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestCal(t *testing.T) {
	if os.Getenv("DEV") == "" {
		t.Skip()
	}
	hs := devParts(t)
	for _, o := range []int{33, 36, 39, 42, 45} {
		c := cutAt(hs, o)
		t0 := time.Now()
		lv := FitLevels(c, Season{}, 2)
		fmt.Println(time.Since(t0))
		for _, m := range []Method{lv, &Pooled{.85, 3, NewMonthlyMean(c, Season{}, .85), usual, Season{}}} {
			var cal calibration
			var room [3]Distribution
			t0 := time.Now()
			for i := range c {
				cal.count(&c[i], m, &room)
			}
			fmt.Println(m.Name(), time.Since(t0), o, "best", cal.best())
			for k, keep := range keeps {
				fmt.Printf("  %.2f month %.4f window %.4f cov %.4f\n", keep, cal.month[k]/cal.windows, cal.window[k]/cal.windows, cal.covered[k]/cal.windows)
			}
		}
	}
}
