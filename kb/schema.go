package kb

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
)

// JSONSchema returns the JSON Schema (draft 2020-12) of one file of a base, for
// editors and for checks outside the program. It is made from the same types
// and tags as the loader and refuses what the loader refuses of a file by
// itself; what ids mean is left to Lint.
func JSONSchema() []byte {
	s := &schemaWriter{defs: object{}}
	root := s.structure(reflect.TypeFor[Base]())
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["$id"] = "urn:sootsayer:base:1"
	root["title"] = "A file of a sootsayer base"
	// Only a file's schema is needed: the settings may stand in another file.
	root["required"] = []string{"schema"}
	root["$defs"] = s.defs
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(root); err != nil {
		panic(fmt.Sprintf("kb: the schema cannot be written: %v", err)) // it holds maps, lists and texts only
	}
	return buf.Bytes()
}

// object is a JSON object.
type object = map[string]any

// schemaWriter collects the schemas of the structs under $defs.
type schemaWriter struct{ defs object }

// of returns the schema of a type under the rules of a field.
func (s *schemaWriter) of(t reflect.Type, r rules) object {
	if special, ok := s.special(t); ok {
		return special
	}
	switch t.Kind() {
	case reflect.Pointer:
		return s.of(t.Elem(), r)
	case reflect.Struct:
		return s.define(t)
	case reflect.Slice:
		out := object{"type": "array", "items": s.of(t.Elem(), r.item())}
		if r.items > 0 {
			out["minItems"] = r.items
		}
		return out
	case reflect.Map:
		out := object{"type": "object", "additionalProperties": s.of(t.Elem(), r.item()), "propertyNames": anyName()}
		if r.items > 0 {
			out["minProperties"] = r.items
		}
		return out
	case reflect.String:
		return textSchema(r)
	case reflect.Float64:
		return numberSchema("number", r)
	case reflect.Int:
		// The loader takes no number that would not fit.
		out := numberSchema("integer", r)
		if out["maximum"] == nil {
			out["maximum"] = maxWhole
		}
		if out["minimum"] == nil {
			out["minimum"] = -maxWhole
		}
		return out
	case reflect.Bool:
		return object{"type": "boolean"}
	}
	panic("kb: the format holds no " + t.String())
}

func textSchema(r rules) object {
	out := object{"type": "string"}
	switch {
	case r.id:
		out["pattern"] = idPatternText
	case len(r.enum) > 0:
		out["enum"] = r.enum
	case r.required:
		out["pattern"] = notBlankText
	}
	return out
}

func numberSchema(kind string, r rules) object {
	out := object{"type": kind}
	if r.min != nil {
		out["minimum"] = *r.min
	}
	if r.max != nil {
		out["maximum"] = *r.max
	}
	return out
}

// define puts the schema of a struct under $defs, once, and refers to it.
func (s *schemaWriter) define(t reflect.Type) object {
	if s.defs[t.Name()] == nil {
		s.defs[t.Name()] = s.structure(t)
	}
	return object{"$ref": "#/$defs/" + t.Name()}
}

// structure is the schema of a struct: its fields and no others.
func (s *schemaWriter) structure(t reflect.Type) object {
	properties, required := object{}, []string{}
	for _, f := range infoOf(t).fields {
		field := s.of(f.typ, f.rules)
		if doc := describe(f); doc != "" {
			field["description"] = doc
		}
		properties[f.name] = field
		if f.rules.required {
			required = append(required, f.name)
		}
	}
	out := object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		out["required"] = required
	}
	return out
}

// describe is a field's doc, and of which list its ids are.
func describe(f fieldInfo) string {
	doc := f.doc
	if f.rules.ref != "" {
		if doc != "" {
			doc += "; "
		}
		doc += "id of one of the " + f.rules.ref
	}
	return doc
}

// special returns the schema of a type whose written form is not that of its
// Go type; decode_special.go has the decoders.
func (s *schemaWriter) special(t reflect.Type) (object, bool) {
	switch t {
	case reflect.TypeFor[Table]():
		return tableSchema(), true
	case reflect.TypeFor[Rows]():
		return object{"type": "object", "additionalProperties": tableSchema(), "propertyNames": anyName()}, true
	case reflect.TypeFor[Bases]():
		one := s.define(reflect.TypeFor[Basis]())
		return object{"oneOf": []object{one, {"type": "array", "items": one, "minItems": 1}}}, true
	case reflect.TypeFor[Tolerance]():
		return object{"oneOf": []object{{"type": "number", "minimum": 0}, {"type": "string", "pattern": percentPatternText}}}, true
	case reflect.TypeFor[KeepsBack]():
		ids := object{"type": "array", "items": textSchema(rules{required: true}), "minItems": 1}
		return object{"oneOf": []object{{"enum": []string{keepsAll, keepsStarting}}, ids}}, true
	}
	return nil, false
}

func tableSchema() object {
	return object{"type": "object", "additionalProperties": numberSchema("number", probability), "minProperties": 1,
		"propertyNames": anyName()}
}

// anyName is the schema of keys of the author's choice.
func anyName() object { return object{"pattern": notBlankText} }
