// Command gen writes what the program embeds besides base/*.yaml: base.gob, the
// decoded copy of it, and demo/jobs.csv, the closed jobs of an invented shop. It
// is run by go generate in the folder data.
package main

import (
	"bytes"
	"fmt"
	"os"

	"sootsayer/data"
	"sootsayer/kb"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run() error {
	files := os.DirFS("base")
	b, problems := kb.Load(files)
	problems = append(problems, b.Lint()...).InOrder()
	if errs := problems.Errors(); len(errs) > 0 {
		return errs
	}
	digest, err := data.Digest(files)
	if err != nil {
		return err
	}
	var buf bytes.Buffer
	if err := data.Encode(&buf, b, digest); err != nil {
		return err
	}
	if err := os.WriteFile("base.gob", buf.Bytes(), 0o644); err != nil {
		return err
	}
	var jobs bytes.Buffer
	if err := writeDemo(&jobs, b, calls); err != nil {
		return err
	}
	return os.WriteFile("demo/jobs.csv", jobs.Bytes(), 0o644)
}
