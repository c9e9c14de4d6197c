package cli

import (
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// commandHelp is what help says of a command.
type commandHelp struct {
	Command  string     `json:"command"`
	Says     string     `json:"says"`
	Write    string     `json:"write"`
	Examples string     `json:"examples"`
	Commands []helpWord `json:"commands,omitempty"`
	Flags    []helpWord `json:"flags,omitempty"`
	Common   []helpWord `json:"common_flags,omitempty"` // those of every command
}

// helpWord is a command or flag and what it does.
type helpWord struct {
	Name string `json:"name"`
	Says string `json:"says"`
}

func describe(cmd *cobra.Command) commandHelp {
	h := commandHelp{Command: cmd.CommandPath(), Says: cmd.Long, Write: cmd.UseLine(), Examples: cmd.Example}
	if h.Says == "" {
		h.Says = cmd.Short + "."
	}
	if cmd.HasAvailableSubCommands() {
		h.Write = cmd.CommandPath() + " COMMAND"
	}
	for _, c := range visible(cmd) {
		h.Commands = append(h.Commands, helpWord{c.Name(), c.Short})
	}
	add := func(to *[]helpWord) func(*pflag.Flag) {
		return func(f *pflag.Flag) {
			if !f.Hidden {
				*to = append(*to, helpWord{flagName(f), flagSays(f)})
			}
		}
	}
	common := cmd.Root().PersistentFlags()
	common.VisitAll(add(&h.Common))
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if common.Lookup(f.Name) == nil && f.Name != "help" {
			add(&h.Flags)(f)
		}
	})
	return h
}

// flagName is how a flag is written: with a word for its value, and dots when
// it may be given again.
func flagName(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "bool":
		return "--" + f.Name
	case "int", "float64":
		return "--" + f.Name + " NUMBER"
	case "stringArray":
		return "--" + f.Name + " WORD..."
	}
	return "--" + f.Name + " WORD"
}

func flagSays(f *pflag.Flag) string {
	says := f.Usage
	switch f.DefValue {
	case "", "false", "0", "[]":
	default:
		says += " (default " + f.DefValue + ")"
	}
	return says
}

// printHelp writes help for people.
func (a *app) printHelp(h commandHelp) {
	p := a.printer()
	p.para("", h.Says)
	p.line("")
	p.heading("Write")
	p.para("  ", h.Write)
	p.line("")
	p.heading("Examples")
	for line := range strings.Lines(h.Examples) {
		p.example(strings.TrimRight(line, "\n"))
	}
	p.helpWords("Commands", h.Commands)
	p.helpWords("Flags", h.Flags)
	p.helpWords("Flags of every command", h.Common)
	if len(h.Commands) > 0 {
		p.line("")
		p.line("More on one of them: %s COMMAND --help", h.Command)
	}
}

// example writes a command, with its flags on further lines where it is too long.
func (p *printer) example(line string) {
	const under, on = "      ", " \\"
	for utf8.RuneCountInString(line) > p.width {
		start := line[:p.width-len(on)]
		at := max(strings.LastIndex(start, " --"), strings.LastIndex(start, " >"))
		if at <= len(under) {
			break
		}
		p.line("%s%s", line[:at], on)
		line = under + line[at+1:]
	}
	p.line("%s", line)
}

func (p *printer) helpWords(title string, list []helpWord) {
	if len(list) == 0 {
		return
	}
	p.line("")
	p.heading(title)
	width := 0
	for _, w := range list {
		width = max(width, len(w.Name))
	}
	for _, w := range list {
		p.para("  "+pad(w.Name, width)+"  ", w.Says)
	}
}
