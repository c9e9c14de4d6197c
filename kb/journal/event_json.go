package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"strings"

	"sootsayer/kb"
)

// plainEvent is an Event without its JSON methods.
type plainEvent Event

// knownFields are the JSON names of an event, and nestedFields those of the
// objects inside it that newer writers may add to.
var (
	knownFields  = jsonNames(reflect.TypeFor[Event]())
	nestedFields = map[string]map[string]bool{
		"finding": jsonNames(reflect.TypeFor[kb.Finding]()),
		"closing": jsonNames(reflect.TypeFor[kb.Closing]()),
	}
)

func jsonNames(t reflect.Type) map[string]bool {
	names := make(map[string]bool)
	for i := range t.NumField() {
		if name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); name != "-" && name != "" {
			names[name] = true
		}
	}
	return names
}

// MarshalJSON writes the envelope and the payload as one flat object, with the
// fields of Extra put back where they came from. A known field always wins
// over one of the same name in Extra.
func (e Event) MarshalJSON() ([]byte, error) {
	known, err := json.Marshal(plainEvent(e))
	if err != nil || len(e.Extra) == 0 {
		return known, err
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(known, &fields); err != nil {
		return nil, err
	}
	for name, raw := range e.Extra {
		switch {
		case nestedFields[name] != nil:
			if inner, ok := fields[name]; ok {
				if fields[name], err = addFields(inner, raw, nestedFields[name]); err != nil {
					return nil, err
				}
			}
		case !knownFields[name]:
			fields[name] = raw
		}
	}
	return json.Marshal(fields)
}

// addFields adds to an object those fields of another that are not known ones.
func addFields(object, extra json.RawMessage, known map[string]bool) (json.RawMessage, error) {
	var fields, more map[string]json.RawMessage
	if err := json.Unmarshal(object, &fields); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(extra, &more); err != nil {
		return nil, err
	}
	maps.DeleteFunc(more, func(name string, _ json.RawMessage) bool { return known[name] })
	maps.Copy(fields, more)
	return json.Marshal(fields)
}

// UnmarshalJSON reads one flat object. Field names count exactly as written:
// one in other letters is unknown and goes to Extra, as everything unknown
// does. It does not judge the event; Validate does.
func (e *Event) UnmarshalJSON(data []byte) error {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(data, &fields); err != nil {
		return fmt.Errorf("event is not a JSON object: %w", err)
	}
	if fields == nil {
		return fmt.Errorf("event is null; give a JSON object")
	}
	extra, err := takeUnknown(fields)
	if err != nil {
		return err
	}
	if extra != nil {
		if data, err = json.Marshal(fields); err != nil {
			return err
		}
	}
	var p plainEvent
	if err := json.Unmarshal(data, &p); err != nil {
		return fmt.Errorf("event has a field of the wrong kind: %w", err)
	}
	if p.Change != nil {
		if p.Change, err = canonical(p.Change); err != nil {
			return err
		}
	}
	p.Extra = extra
	*e = Event(p)
	return nil
}

// takeUnknown moves every field that this program does not know out of fields;
// nil when there is none.
func takeUnknown(fields map[string]json.RawMessage) (map[string]json.RawMessage, error) {
	var extra map[string]json.RawMessage
	for name, raw := range fields {
		unknown := raw
		switch nested := nestedFields[name]; {
		case nested != nil:
			rest, known, err := splitObject(name, raw, nested)
			if err != nil {
				return nil, err
			}
			if rest == nil {
				continue
			}
			unknown, fields[name] = rest, known
		case knownFields[name]:
			continue
		default:
			delete(fields, name)
		}
		kept, err := canonical(unknown)
		if err != nil {
			return nil, err
		}
		if extra == nil {
			extra = make(map[string]json.RawMessage)
		}
		extra[name] = kept
	}
	return extra, nil
}

// splitObject parts an object into its unknown and its known fields; rest is
// nil when all are known.
func splitObject(name string, raw json.RawMessage, known map[string]bool) (rest, kept json.RawMessage, err error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(raw, &fields); err != nil {
		return nil, nil, fmt.Errorf("%s is not a JSON object: %w", name, err)
	}
	more := make(map[string]json.RawMessage)
	for n, v := range fields {
		if !known[n] {
			more[n] = v
			delete(fields, n)
		}
	}
	if len(more) == 0 {
		return nil, raw, nil
	}
	if rest, err = json.Marshal(more); err != nil {
		return nil, nil, err
	}
	kept, err = json.Marshal(fields)
	return rest, kept, err
}

// canonical writes a JSON value with sorted keys and no spaces, numbers as they
// were written, so that the same value always gives the same bytes.
func canonical(raw json.RawMessage) (json.RawMessage, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	return json.Marshal(v)
}
