package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"sootsayer/data"
	"sootsayer/ranker"
)

// demoOptions are what `demo` is told.
type demoOptions struct {
	pause, keep bool
}

func newDemo(a *app) *cobra.Command {
	o := &demoOptions{}
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Watch one call at an invented shop, from the complaint to what was learned",
		Long: `Watch one call at an invented shop, from the complaint to what was learned. Each
step shows the command that a person would type and what it answers, shortened.
The commands are the real ones, run in a store of their own that is thrown away
at the end. Nothing of yours is touched.

` + safetyNote,
		Example: `  sootsayer demo
  sootsayer demo --pause
  sootsayer demo --keep`,
		Args: argsBetween(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), a, o) },
	}
	f := cmd.Flags()
	f.BoolVar(&o.pause, "pause", false, "wait for Enter after each step")
	f.BoolVar(&o.keep, "keep", false, "keep the demo's store and say where it is")
	return cmd
}

// demo is a demonstration under way.
type demo struct {
	*app
	ctx   context.Context
	store string
	clock time.Time
	lines *bufio.Scanner // waited for between steps; nil: no waiting
	steps []demoStep
	card  bool // the card of a check was shown as a whole
}

// demoStep is one step: what it shows, the command and the answer.
type demoStep struct {
	Title   string          `json:"title"`
	Says    string          `json:"says"`
	Command string          `json:"command"`
	Answer  json.RawMessage `json:"answer"`
}

// demoJSON is the JSON answer of the demo.
type demoJSON struct {
	Shop     string     `json:"shop"`
	Invented bool       `json:"invented"`
	Store    string     `json:"store,omitempty"` // where it was kept
	Steps    []demoStep `json:"steps"`
}

func runDemo(ctx context.Context, a *app, o *demoOptions) (err error) {
	dir, err := os.MkdirTemp("", "sootsayer-demo-")
	if err != nil {
		return fmt.Errorf("the demo has no place for its store: %w", err)
	}
	d := &demo{app: a, ctx: ctx, store: filepath.Join(dir, "store"), clock: data.DemoDay()}
	if !o.keep {
		defer os.RemoveAll(dir)
	}
	if o.pause && !a.json {
		d.lines = bufio.NewScanner(a.env.In)
	}
	if err := d.tell(); errors.Is(err, errBrokenOff) {
		return errors.New("the demo was broken off")
	} else if err != nil {
		return fmt.Errorf("the demo cannot go on: %w", err)
	}
	if a.json {
		out := demoJSON{Shop: data.DemoShop, Invented: true, Steps: d.steps}
		if o.keep {
			out.Store = d.store
		}
		return a.printJSON(out)
	}
	d.farewell(o.keep)
	return nil
}

// run runs a command as a person of the invented shop would, a few minutes
// after the one before, and returns what it prints.
func (d *demo) run(in io.Reader, args ...string) (string, error) {
	d.clock = d.clock.Add(4 * time.Minute)
	now := d.clock
	if in == nil {
		in = strings.NewReader("")
	}
	var out, errs bytes.Buffer
	env := Env{In: in, Out: &out, Err: &errs, Now: func() time.Time { return now }, Getenv: func(name string) string {
		if name == "SOOTSAYER_BY" {
			return demoPerson
		}
		return d.env.Getenv(name)
	}}
	args = append([]string{"--store", d.store, "--base", d.base}, args...)
	if code := Run(d.ctx, args, env); code != ExitDone {
		return "", fmt.Errorf("%s", strings.TrimSpace(errs.String()))
	}
	return out.String(), nil
}

// step runs a command and shows it with the parts of its answer that the step
// is about.
func (d *demo) step(title, says string, show demoParts, in io.Reader, args ...string) error {
	command := append([]string{"sootsayer"}, args...)
	if in != nil {
		command = append(command, "<", demoFile)
	}
	if d.json {
		args = append(args, "--json")
	}
	answer, err := d.run(in, args...)
	if err != nil {
		return fmt.Errorf("at %q: %w", title, err)
	}
	d.steps = append(d.steps, demoStep{Title: title, Says: says, Command: strings.Join(quoted(command), " "), Answer: json.RawMessage(answer)})
	if d.json {
		return nil
	}
	p := d.paper()
	p.line("")
	p.heading(fmt.Sprintf("%d. %s", len(d.steps), title))
	if says != "" {
		p.para("", says)
	}
	p.line("")
	for _, l := range typed(quoted(command), p.width) {
		p.line("%s", p.paint(bold, l))
	}
	for _, l := range show.of(answer) {
		d.card = d.card || strings.HasPrefix(l, "  Result")
		before, after, caution := strings.Cut(l, cautionBegins)
		switch {
		case caution:
			l = before + p.paint(yellow, cautionBegins) + after
		case show.itemsOf(l) >= 0:
			l = p.paint(bold, l)
		}
		p.line("%s", l)
	}
	return d.wait()
}

// paper is what the demo is written on: as wide as the answers in it.
func (d *demo) paper() *printer {
	p := d.printer()
	p.width = min(p.width, defaultWidth)
	return p
}

// wait waits for Enter; where nobody types, it does not. A person who stops the
// program instead leaves the goroutine behind, which ends with the process.
func (d *demo) wait() error {
	if d.lines == nil {
		return d.ctx.Err()
	}
	if d.asks() {
		fmt.Fprint(d.env.Err, "[Enter] ")
	}
	_, there, err := nextLine(d.ctx, d.lines)
	if err == nil && !there {
		d.lines = nil
	}
	return err
}

// advice is what to do next, as the commands say it.
func (d *demo) advice() (ranker.Advice, error) {
	s, err := d.openShop()
	if err != nil {
		return ranker.Advice{}, err
	}
	defer s.Close()
	j, err := s.CurrentJob()
	if err != nil {
		return ranker.Advice{}, err
	}
	belief, err := s.Believe(&j)
	if err != nil {
		return ranker.Advice{}, err
	}
	return belief.Rank(ranker.Options{Detail: 1}).Advice, nil
}
