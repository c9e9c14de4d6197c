package cli

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// progressEvery is how often a progress bar is drawn anew.
const progressEvery = 100 * time.Millisecond

// progressBar is a bar on standard error while something long goes on. It is drawn
// on a terminal only, and leaves nothing behind.
type progressBar struct {
	w     io.Writer // nil where nothing is drawn
	what  string
	unit  string // what the second figure counts; "" for rows
	total int64  // bytes in all, 0 where that is not known
	width int
	now   func() time.Time
	last  time.Time
	shown bool
}

// progressTerminal is the terminal on which progress is shown, nil for none: it
// is standard error, where that can be wiped.
func (a *app) progressTerminal() *os.File {
	f, ok := a.env.Err.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) || a.env.Getenv("TERM") == "dumb" {
		return nil
	}
	return f
}

// wipe takes the line away that the cursor is in.
const wipe = "\r\x1b[K"

func (a *app) progressBar(what string, total int64) *progressBar {
	p := &progressBar{what: what, total: total, now: a.env.Now, last: a.env.Now()}
	f := a.progressTerminal()
	if f == nil {
		return p
	}
	p.w, p.width = f, defaultWidth
	if w, _, err := term.GetSize(int(f.Fd())); err == nil {
		p.width = w
	}
	return p
}

// show draws the bar after so many bytes and rows.
func (p *progressBar) show(bytes int64, rows int) {
	if p.w == nil || p.now().Sub(p.last) < progressEvery {
		return
	}
	p.last, p.shown = p.now(), true
	fmt.Fprintf(p.w, wipe+"%s", cut(p.text(bytes, rows), p.width-1))
}

func (p *progressBar) text(bytes int64, rows int) string {
	if p.total <= 0 {
		return fmt.Sprintf("%s: %d %s", p.what, rows, cmp.Or(p.unit, "rows"))
	}
	const width = 24
	share := min(1, float64(bytes)/float64(p.total))
	return fmt.Sprintf("%s [%s] %3.0f%% %d %s", cut(p.what, p.width-width-24), pad(bar(share, width), width), 100*share, rows, cmp.Or(p.unit, "rows"))
}

// clear takes the bar away, so that something else can be written.
func (p *progressBar) clear() {
	if p.shown {
		fmt.Fprint(p.w, wipe)
		p.shown = false
	}
}
