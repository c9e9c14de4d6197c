package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/oklog/ulid/v2"
)

// Bounds of what an event may hold.
const (
	maxName   = 200     // bytes of an id or a name
	maxPhrase = 1000    // bytes of a phrase
	maxEvent  = 1 << 20 // bytes of an event as JSON
	firstYear = 1970
	lastYear  = 2999
)

// Validate tells why an event cannot be appended; the error matches ErrInvalid,
// or ErrNewer when the event is of a later version. It looks at the event
// alone, not at the base or at other events.
func (e Event) Validate() error {
	if e.V > EventVersion {
		return fail(ErrNewer, "%s was written by a newer sootsayer (event version %d, this one takes up to %d); update sootsayer",
			e.name(), e.V, EventVersion)
	}
	if err := errors.Join(e.checkEnvelope(), e.checkPayload(), e.checkExtra()); err != nil {
		return fail(ErrInvalid, "%s: %s", e.name(), strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return nil
}

// name says which event is meant.
func (e Event) name() string {
	s := fmt.Sprintf("event %q", e.ID)
	if e.Kind != "" {
		s += fmt.Sprintf(" (%s)", e.Kind)
	}
	if e.Job != "" {
		s += fmt.Sprintf(" of job %q", e.Job)
	}
	return s
}

func (e Event) checkEnvelope() error {
	var errs []error
	if id, err := ulid.ParseStrict(e.ID); err != nil || id.String() != e.ID {
		errs = append(errs, errors.New("its id is not a ULID in capitals; take one from NewEventID"))
	}
	if y := e.At.UTC().Year(); y < firstYear || y > lastYear {
		errs = append(errs, fmt.Errorf("at is in the year %d; give the time of the act, from %d to %d", y, firstYear, lastYear))
	}
	if e.V < 1 {
		errs = append(errs, fmt.Errorf("v is %d; the version of events is %d", e.V, EventVersion))
	}
	if !slices.Contains(Kinds(), e.Kind) {
		errs = append(errs, fmt.Errorf("kind %q is not known; the kinds are %s", e.Kind, kindList()))
	}
	return errors.Join(append(errs, optional("by", e.By), optional("job", e.Job))...)
}

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

func (e Event) checkPayload() error {
	switch e.Kind {
	case KindJobOpened:
		return e.checkOpened()
	case KindFindingRecorded:
		return errors.Join(required("job", e.Job), checkFinding(e.Finding))
	case KindFindingWithdrawn:
		return errors.Join(required("job", e.Job), e.checkOf())
	case KindStateChanged:
		return errors.Join(required("job", e.Job), checkState(e.State))
	case KindFixTried:
		return errors.Join(required("job", e.Job), required("fix", e.Fix), minutes("minutes", e.Minutes))
	case KindJobClosed:
		return errors.Join(required("job", e.Job), checkClosing(e.Closing))
	case KindJobReopened:
		return required("job", e.Job)
	case KindPhraseChosen:
		return errors.Join(checkName("phrase", phraseOf(e).Phrase, maxPhrase), required("symptom", e.Symptom), optional("family", e.Family))
	case KindPartUsed, KindPartCounted, KindPartReceived, KindPartOrdered, KindPartMoved:
		return e.checkPart()
	case KindApplianceAdded:
		return errors.Join(required("appliance", e.Appliance), required("family", e.Family), optional("model", e.Model))
	case KindBaseChanged:
		if len(e.Change) == 0 || !json.Valid(e.Change) {
			return errors.New("change is not JSON; say what was changed")
		}
	}
	return nil
}

func (e Event) checkOpened() error {
	err := errors.Join(required("job", e.Job), required("family", e.Family), optional("model", e.Model),
		optional("appliance", e.Appliance), optional("callback_of", e.CallbackOf))
	if e.CallbackOf != "" && e.CallbackOf == e.Job {
		err = errors.Join(err, errors.New("callback_of names the job itself; name the earlier one"))
	}
	return err
}

func (e Event) checkOf() error {
	if id, err := ulid.ParseStrict(e.Of); err != nil || id.String() != e.Of {
		return fmt.Errorf("of is %q; give the id of the event that is taken back", e.Of)
	}
	if e.Of == e.ID {
		return errors.New("of names the event itself; give the id of the event that is taken back")
	}
	return nil
}

func (e Event) checkPart() error {
	errs := []error{required("part", e.Part), optional("place", e.Place)}
	switch {
	case e.Qty == nil:
		errs = append(errs, errors.New("qty is missing; give the pieces"))
	case !finite(*e.Qty):
		errs = append(errs, errors.New("qty is not a number; give the pieces"))
	case e.Kind == KindPartCounted && *e.Qty < 0:
		errs = append(errs, fmt.Errorf("qty is %g; a count cannot be below 0", *e.Qty))
	case e.Kind == KindPartMoved && *e.Qty < 0:
		errs = append(errs, fmt.Errorf("qty is %g; move the pieces the other way", *e.Qty))
	case *e.Qty == 0 && !e.mayBeNone():
		errs = append(errs, errors.New("qty is 0; give the pieces"))
	}
	if e.Kind == KindPartMoved {
		errs = append(errs, required("place", e.Place), required("to", e.To))
		if e.To == e.Place {
			errs = append(errs, errors.New("to is the place itself; name another one"))
		}
	}
	return errors.Join(errs...)
}

// mayBeNone tells whether no pieces are worth an event: a count finds none, and
// of a use outside of jobs it says that nothing was used.
func (e Event) mayBeNone() bool {
	return e.Kind == KindPartCounted || e.Kind == KindPartUsed && e.Job == ""
}

func (e Event) checkExtra() error {
	for name, raw := range e.Extra {
		if !json.Valid(raw) {
			return fmt.Errorf("the additional field %q is not JSON", name)
		}
		if nestedFields[name] != nil && json.Unmarshal(raw, new(map[string]json.RawMessage)) != nil {
			return fmt.Errorf("the additional fields of %s are not a JSON object", name)
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func minutes(field string, m float64) error {
	if !finite(m) || m < 0 || m > (365*24*time.Hour).Minutes() {
		return fmt.Errorf("%s is %g; give minutes from 0, or leave it out", field, m)
	}
	return nil
}

func required(field, value string) error { return checkName(field, value, maxName) }

func optional(field, value string) error {
	if value == "" {
		return nil
	}
	return checkName(field, value, maxName)
}

// checkName refuses text that cannot be a key or would look like another one.
func checkName(field, value string, most int) error {
	switch {
	case value == "":
		return fmt.Errorf("%s is missing", field)
	case len(value) > most:
		return fmt.Errorf("%s is %d bytes long; keep it to %d", field, len(value), most)
	case !utf8.ValidString(value):
		return fmt.Errorf("%s is not UTF-8 text", field)
	case strings.TrimSpace(value) != value:
		return fmt.Errorf("%s %q begins or ends with a space", field, value)
	case strings.ContainsFunc(value, unicode.IsControl):
		return fmt.Errorf("%s %q holds a control character", field, value)
	}
	return nil
}
