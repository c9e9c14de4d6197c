package kb

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"
)

// compiledSchema is the schema of a base's file as a general validator reads it.
func compiledSchema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(JSONSchema())))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:sootsayer:base:1", doc); err != nil {
		t.Fatal(err)
	}
	return c.MustCompile("urn:sootsayer:base:1")
}

// generic turns a node into what encoding/json would make of it. Numbers that
// JSON has not got become texts, which the schema refuses as it should.
func generic(n *node) any {
	switch n.kind {
	case boolNode:
		return strings.EqualFold(n.text, "true")
	case numberNode:
		if f := n.number; f-f == 0 {
			return n.number
		}
		return "not finite"
	case textNode:
		return n.text
	case listNode:
		out := []any{}
		for _, item := range n.items {
			out = append(out, generic(item))
		}
		return out
	case mapNode:
		out := map[string]any{}
		for i, key := range n.keys {
			out[key.text] = generic(n.items[i])
		}
		return out
	}
	return nil
}

// judge holds a text to the decoder and to the schema.
func judge(t testing.TB, schema *jsonschema.Schema, text string) (decoder Problems, validator error) {
	t.Helper()
	docs, bad := parseYAML("base.yaml", []byte(text))
	if bad != nil {
		t.Fatal(bad.Error())
	}
	for _, root := range docs {
		if root == nil {
			continue
		}
		_, problems := decodeDocument("base.yaml", root)
		decoder = append(decoder, problems...)
		if err := schema.Validate(generic(root)); err != nil {
			validator = err
		}
	}
	return decoder, validator
}

func TestSchemaAcceptsValidForms(t *testing.T) {
	schema := compiledSchema(t)
	for name, text := range validForms {
		if decoder, validator := judge(t, schema, text); len(decoder) > 0 || validator != nil {
			t.Errorf("%s: the loader says %v, the schema says %v", name, decoder, validator)
		}
	}
}

func TestSchemaRefusesMistakes(t *testing.T) {
	schema := compiledSchema(t)
	for _, m := range mistakes {
		text, _ := marked(changed(m.from, m.to), "")
		if decoder, validator := judge(t, schema, text); len(decoder) == 0 || validator == nil {
			t.Errorf("%s: the loader says %v, the schema says %v", m.name, decoder, validator)
		}
	}
}

func TestSchemaAcceptsShippedFiles(t *testing.T) {
	files, _ := filepath.Glob("../data/base/*.yaml")
	if len(files) == 0 {
		t.Skip("no shipped base here")
	}
	schema := compiledSchema(t)
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if decoder, validator := judge(t, schema, string(data)); len(decoder) > 0 || validator != nil {
			t.Errorf("%s: the loader says %v, the schema says %v", file, decoder, validator)
		}
	}
}

// TestSchemaAndLoaderAgree breaks the sample at random: what one refuses, the
// other does too, so that the two cannot drift apart.
func TestSchemaAndLoaderAgree(t *testing.T) {
	schema := compiledSchema(t)
	docs, bad := parseYAML("base.yaml", []byte(sample))
	if bad != nil {
		t.Fatal(bad)
	}
	refused, accepted := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		doc := generic(docs[0])
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			doc = mutate(t, doc)
		}
		text, err := json.Marshal(doc) // JSON is YAML
		if err != nil {
			t.Fatal(err)
		}
		root, bad := parseYAML("base.yaml", text)
		if bad != nil {
			t.Fatal(bad)
		}
		_, problems := decodeDocument("base.yaml", root[0])
		validator := schema.Validate(doc)
		if (len(problems) > 0) != (validator != nil) {
			t.Fatalf("the loader says %v\nthe schema says %v\nof %s", problems, validator, text)
		}
		if validator != nil {
			refused++
		} else {
			accepted++
		}
	})
	if refused == 0 || accepted == 0 {
		t.Errorf("%d refused and %d accepted: the changes are too alike", refused, accepted)
	}
}

// mutate changes one value somewhere in a document and returns the document.
func mutate(t *rapid.T, v any) any {
	switch x := v.(type) {
	case map[string]any:
		if len(x) > 0 && rapid.IntRange(0, 9).Draw(t, "deeper") > 0 {
			key := rapid.SampledFrom(slices.Sorted(maps.Keys(x))).Draw(t, "key")
			return mutateMember(t, x, key)
		}
	case []any:
		if len(x) > 0 && rapid.IntRange(0, 9).Draw(t, "deeper") > 0 {
			out := slices.Clone(x)
			i := rapid.IntRange(0, len(x)-1).Draw(t, "item")
			if rapid.IntRange(0, 9).Draw(t, "drop") == 0 {
				return slices.Delete(out, i, i+1)
			}
			out[i] = mutate(t, x[i])
			return out
		}
	}
	return another(t, v)
}

// mutateMember drops, renames or changes one member of a mapping.
func mutateMember(t *rapid.T, x map[string]any, key string) map[string]any {
	out := maps.Clone(x)
	switch rapid.IntRange(0, 9).Draw(t, "how") {
	case 0:
		delete(out, key)
	case 1:
		name := rapid.SampledFrom([]string{key + "x", "extra", " ", "cautions", "note", "min", "tools", "basis"}).Draw(t, "name")
		delete(out, key)
		out[name] = x[key]
	case 2:
		out[rapid.SampledFrom([]string{"cautions", "tools", "basis", "skill", "of", "grade", "from", "pack", "state", "ask"}).Draw(t, "new")] = another(t, nil)
	default:
		out[key] = mutate(t, x[key])
	}
	return out
}

// another is a value in place of v: of another type, out of range, or of the
// same kind and right.
func another(t *rapid.T, v any) any {
	if f, ok := v.(float64); ok && rapid.Bool().Draw(t, "near") {
		return rapid.SampledFrom([]float64{-f, f + 1, f * 1000, f / 1000, 0, 1, 0.5, 1.5, -1, 2, 1e300, 1e10, 1<<31 - 1, 1 << 31}).Draw(t, "number")
	}
	if s, ok := v.(string); ok && rapid.Bool().Draw(t, "near") {
		return rapid.SampledFrom([]string{s + " ", strings.ToUpper(s), "", " ", "\n", s + "-x", "-" + s, "all", "starting", "licensed", "2%", "2.5%", "2.%", "%", "-2%", "estimate", "HB", "a\nb", strconv.Quote(s), "\u00a0", "a\n"}).Draw(t, "text")
	}
	return rapid.SampledFrom([]any{nil, true, false, 0.0, 1.0, 0.3, -1.0, 7.5, "text", "yes", "1", "", "2%", "all", []any{}, []any{"a"}, []any{1.0}, []any{""}, []any{nil},
		[]any{[]any{"a", "b"}}, map[string]any{}, map[string]any{"a": 0.5}, map[string]any{"a": "b"}, map[string]any{"a": map[string]any{"b": 0.5}}, map[string]any{"a": map[string]any{}},
		map[string]any{"kind": "estimate"}, []any{map[string]any{"kind": "estimate"}}, map[string]any{"kind": "guess"}, map[string]any{"unit": "V"}, map[string]any{"starts": 2.0}}).Draw(t, "value")
}
