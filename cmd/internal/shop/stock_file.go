package shop

import (
	"encoding/gob"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"sootsayer/kb/stock"
)

// stockFile is how the stock log is kept: its columns one after the other, which
// encoding/gob reads ten times as fast as a list of movements. Names stand once
// in Names; ids of events have idLetters letters each.
type stockFile struct {
	Version int
	Journal string // journal.Store.ID
	Seq     uint64
	Last    string // id of event Seq

	Names    []string
	IDs      string
	Seconds  []int64
	Nanos    []int32
	Kinds    []byte
	Qtys     []float64
	Parts    []int32
	Places   []int32
	Tos      []int32
	Bys      []int32
	Jobs     []int32
	Stretchs []int32
	Families []int32

	CallSeconds  []int64
	CallNanos    []int32
	CallJobs     []int32
	CallFamilies []int32
}

const (
	stockVersion = 1
	idLetters    = 26 // of a ULID
)

func (s *Shop) stockPath() string { return filepath.Join(s.cfg.Store, "stock.gob") }

// readStock returns the log that was kept, nil when it is of no use.
func (s *Shop) readStock() *stockLog {
	f, err := readStockFile(s.stockPath())
	if err != nil || f.Version != stockVersion {
		return nil
	}
	if id, err := s.journal.ID(); err != nil || f.Journal != id || !s.goesOn(f) {
		return nil
	}
	l, err := f.log()
	if err != nil {
		return nil
	}
	return l
}

func readStockFile(name string) (*stockFile, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	f := new(stockFile)
	return f, gob.NewDecoder(file).Decode(f)
}

// goesOn tells whether the journal goes on from where a log ends: it may be an
// older copy, or have gone another way since.
func (s *Shop) goesOn(f *stockFile) bool {
	last, err := s.eventAt(f.Seq)
	return err == nil && last == f.Last
}

// keepStock writes the log for the next command, where one was made. It is only a
// help: where it cannot be written the next command works it out anew.
func (s *Shop) keepStock() {
	if s.stock == nil || !s.stock.changed {
		return
	}
	id, err := s.journal.ID()
	if err != nil {
		return
	}
	tmp, err := os.CreateTemp(s.cfg.Store, "stock-*.tmp")
	if err != nil {
		return
	}
	f := s.stock.file()
	f.Journal = id
	err = gob.NewEncoder(tmp).Encode(f)
	if cerr := tmp.Close(); err != nil || cerr != nil || os.Rename(tmp.Name(), s.stockPath()) != nil {
		os.Remove(tmp.Name())
		return
	}
	s.stock.changed = false
}

// file takes the log apart into columns.
func (l *stockLog) file() *stockFile {
	f := &stockFile{Version: stockVersion, Seq: l.seq, Last: l.last}
	numbers := make(map[string]int32)
	number := func(name string) int32 {
		n, ok := numbers[name]
		if !ok {
			n = int32(len(f.Names))
			numbers[name] = n
			f.Names = append(f.Names, name)
		}
		return n
	}
	ids := make([]byte, 0, idLetters*len(l.moves))
	for i := range l.moves {
		m := &l.moves[i]
		ids = append(ids, m.ID...)
		f.Seconds, f.Nanos = append(f.Seconds, m.At.Unix()), append(f.Nanos, int32(m.At.Nanosecond()))
		f.Kinds, f.Qtys, f.Stretchs = append(f.Kinds, byte(m.Kind)), append(f.Qtys, m.Qty), append(f.Stretchs, int32(m.Stretch))
		f.Parts, f.Places, f.Tos = append(f.Parts, number(m.Part)), append(f.Places, number(m.Place)), append(f.Tos, number(m.To))
		f.Bys, f.Jobs, f.Families = append(f.Bys, number(m.By)), append(f.Jobs, number(m.Job)), append(f.Families, number(m.Family))
	}
	f.IDs = string(ids)
	for _, c := range l.calls {
		f.CallSeconds, f.CallNanos = append(f.CallSeconds, c.At.Unix()), append(f.CallNanos, int32(c.At.Nanosecond()))
		f.CallJobs, f.CallFamilies = append(f.CallJobs, number(c.Job)), append(f.CallFamilies, number(c.Family))
	}
	return f
}

// log puts the columns together again; an error says that they do not fit each
// other.
func (f *stockFile) log() (*stockLog, error) {
	n, calls := len(f.Seconds), len(f.CallSeconds)
	if err := f.fits(n, calls); err != nil {
		return nil, err
	}
	l := &stockLog{seq: f.Seq, last: f.Last, moves: make([]stock.Movement, n), calls: make([]Call, calls)}
	for i := range l.moves {
		l.moves[i] = stock.Movement{At: time.Unix(f.Seconds[i], int64(f.Nanos[i])).UTC(), ID: f.IDs[i*idLetters : (i+1)*idLetters],
			Kind: stock.MovementKind(f.Kinds[i]), Part: f.Names[f.Parts[i]], Qty: f.Qtys[i], Place: f.Names[f.Places[i]], To: f.Names[f.Tos[i]],
			By: f.Names[f.Bys[i]], Job: f.Names[f.Jobs[i]], Stretch: int(f.Stretchs[i]), Family: f.Names[f.Families[i]]}
	}
	for i := range l.calls {
		l.calls[i] = Call{At: time.Unix(f.CallSeconds[i], int64(f.CallNanos[i])).UTC(), Job: f.Names[f.CallJobs[i]], Family: f.Names[f.CallFamilies[i]]}
	}
	return l, nil
}

// fits tells whether all columns are as long as the first and name what there is.
func (f *stockFile) fits(n, calls int) error {
	for _, list := range [][]int32{f.Parts, f.Places, f.Tos, f.Bys, f.Jobs, f.Families, f.CallJobs, f.CallFamilies} {
		for _, name := range list {
			if name < 0 || int(name) >= len(f.Names) {
				return fmt.Errorf("there is no name number %d", name)
			}
		}
	}
	for _, length := range []int{len(f.Nanos), len(f.Kinds), len(f.Qtys), len(f.Parts), len(f.Places), len(f.Tos), len(f.Bys), len(f.Jobs), len(f.Stretchs), len(f.Families)} {
		if length != n {
			return fmt.Errorf("there are %d times and %d of something else", n, length)
		}
	}
	if len(f.IDs) != n*idLetters || len(f.CallNanos) != calls || len(f.CallJobs) != calls || len(f.CallFamilies) != calls {
		return fmt.Errorf("ids or calls are missing")
	}
	return nil
}
