package journal

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Errors that callers tell apart with errors.Is. The text that a person sees
// is that of the error returned, which says where and what to do.
var (
	// ErrNoStore is returned when a folder holds no journal.
	ErrNoStore = errors.New("no store")
	// ErrInUse is returned when another process has the store open.
	ErrInUse = errors.New("store in use")
	// ErrDamaged is returned when the file is not what was written.
	ErrDamaged = errors.New("store damaged")
	// ErrNewer is returned when a newer program wrote the store or the event.
	ErrNewer = errors.New("written by a newer program")
	// ErrOutdated is returned when a store has to be brought up to date first,
	// which a read-only opening cannot do.
	ErrOutdated = errors.New("store of an older program")
	// ErrReadOnly is returned by writes to a store opened read-only.
	ErrReadOnly = errors.New("store is read-only")
	// ErrClosed is returned when a store was closed before.
	ErrClosed = errors.New("store closed")
	// ErrInvalid is returned for an event that cannot be appended.
	ErrInvalid = errors.New("invalid event")
	// ErrConflict is returned for an event whose id is taken by another one.
	ErrConflict = errors.New("event id taken")
	// ErrNoJob is returned when no event names the job.
	ErrNoJob = errors.New("no such job")
)

// problem is an error with a text for people and a kind for programs.
type problem struct {
	kind, cause error
	text        string
}

func (p *problem) Error() string {
	if p.cause == nil {
		return p.text
	}
	return p.text + ": " + p.cause.Error()
}

// Unwrap gives the kind and, if there is one, the cause.
func (p *problem) Unwrap() []error {
	if p.cause == nil {
		return []error{p.kind}
	}
	return []error{p.kind, p.cause}
}

func fail(kind error, format string, args ...any) error {
	return &problem{kind: kind, text: fmt.Sprintf(format, args...)}
}

// damaged says that the file is not what was written, and what to do about it.
func damaged(format string, args ...any) error {
	return &problem{kind: ErrDamaged, text: "the store is damaged (" + fmt.Sprintf(format, args...) +
		"); run `sootsayer verify --repair`, which keeps the damaged file and saves all that can be read"}
}

// InUseError tells who has a store open. Holders is empty when nobody left word.
type InUseError struct {
	Dir     string
	Holders []Holder
}

// Error names the processes and what to do.
func (e *InUseError) Error() string {
	who := "another process"
	if len(e.Holders) > 0 {
		names := make([]string, len(e.Holders))
		for i, h := range e.Holders {
			names[i] = h.String()
		}
		who = strings.Join(names, " and ")
	}
	return "the store " + e.Dir + " is in use by " + who + "; wait until it is done or stop it, then try again"
}

// Is makes errors.Is(err, ErrInUse) hold.
func (e *InUseError) Is(target error) bool { return target == ErrInUse }

// String writes the process id and the program, if known.
func (h Holder) String() string {
	s := "process " + strconv.Itoa(h.PID)
	if h.Program != "" {
		s += " (" + h.Program + ")"
	}
	return s
}
