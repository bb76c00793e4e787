package render

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// WriteJSON writes a plan as one JSON object: UTF-8, indented by two spaces,
// keys in the order of the plan's fields, numbers unrounded, an empty list
// where there is nothing to list and null where something is unknown. Short
// lists of numbers (a point, a size) stay on one line.
//
// A figure that is not finite is an error that names its key, and then nothing
// is written: such a figure is a mistake of ours and must not reach a script.
func WriteJSON(w io.Writer, p *estimate.Plan) error {
	if p == nil {
		return fmt.Errorf("render: no plan to write")
	}
	return writeJSON(w, p)
}

// Entry is one pattern of several: its plan, or what kept it from having one.
type Entry struct {
	Plan  *estimate.Plan
	File  string // base name; needed where Plan is nil
	Error string // why there is no plan; "" with a plan
	View  *View  // how the three-quarter picture looks at the pattern; nil = nobody looked
}

// failed is an entry without a plan, as it stands in JSON.
type failed struct {
	File  string `json:"file"`
	Error string `json:"error"`
}

// WriteManyJSON writes several patterns as one object {schema, tool, version,
// plans, total}; a pattern that failed stands in its place as {file, error}.
// total is what they add up to, or nil for null.
func WriteManyJSON(w io.Writer, version string, entries []Entry, total any) error {
	all := struct {
		Schema  int    `json:"schema"`
		Tool    string `json:"tool"`
		Version string `json:"version"`
		Plans   []any  `json:"plans"`
		Total   any    `json:"total"`
	}{Schema: estimate.Schema, Tool: toolName, Version: version, Total: total}
	for _, e := range entries {
		if e.Plan != nil {
			all.Plans = append(all.Plans, e.Plan)
		} else {
			all.Plans = append(all.Plans, failed{e.File, e.Error})
		}
	}
	return writeJSON(w, &all)
}

// toolName is what the program calls itself in every output.
const toolName = "moldtally"

func writeJSON(w io.Writer, v any) error {
	var b jsonBuffer
	if err := b.value(reflect.ValueOf(v), "", 0); err != nil {
		return err
	}
	b.WriteByte('\n')
	_, err := w.Write(b.Bytes())
	return err
}

// jsonBuffer writes values as encoding/json does, with three differences that
// the answers need: a nil slice is an empty list, a figure that is not finite
// is an error with the path of its key, and lists of numbers stay on one line.
type jsonBuffer struct{ bytes.Buffer }

// jsonFinding is a finding as it stands in JSON, in metric words.
type jsonFinding struct {
	Code     finding.Code     `json:"code"`
	Severity finding.Severity `json:"severity"`
	Summary  string           `json:"summary"`
	Effect   string           `json:"effect"`
	Hint     string           `json:"hint"`
	At       *[3]float64      `json:"at_mm,omitempty"`
	File     string           `json:"file,omitempty"` // of the pattern that it is about, and whose frame at_mm is in, where there are several
}

var (
	textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()
	jsonMarshaler = reflect.TypeFor[json.Marshaler]()
	remarkType    = reflect.TypeFor[finding.Remark]()
)

func (b *jsonBuffer) value(v reflect.Value, path string, depth int) error {
	if !v.IsValid() {
		b.WriteString("null")
		return nil
	}
	if v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		if v.IsNil() {
			b.WriteString("null")
			return nil
		}
	}
	t := v.Type()
	switch f := v.Interface().(type) {
	case finding.Finding:
		told := words.Tell(f, unit.Metric)
		return b.object(reflect.ValueOf(jsonFinding{f.Code, f.Severity, told.Summary, told.Effect, told.Hint, f.At, f.Of}), path, depth)
	case finding.Remark:
		return b.text(words.Say(f, unit.Metric))
	default:
		if words.Knows(f) {
			return b.text(words.Say(finding.Remark{Facts: f}, unit.Metric))
		}
	}
	switch {
	case t.Implements(jsonMarshaler):
		raw, err := json.Marshal(v.Interface())
		if err != nil {
			return fmt.Errorf("render: %s: %w", at(path), err)
		}
		b.Write(raw)
		return nil
	case t.Implements(textMarshaler):
		s, err := v.Interface().(encoding.TextMarshaler).MarshalText()
		if err != nil {
			return fmt.Errorf("render: %s: %w", at(path), err)
		}
		return b.text(string(s))
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return b.value(v.Elem(), path, depth)
	case reflect.Struct:
		return b.object(v, path, depth)
	case reflect.Slice, reflect.Array:
		return b.list(v, path, depth)
	case reflect.String:
		return b.text(v.String())
	case reflect.Bool:
		fmt.Fprintf(b, "%t", v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		fmt.Fprintf(b, "%d", v.Int())
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		fmt.Fprintf(b, "%d", v.Uint())
	case reflect.Float32, reflect.Float64:
		f := v.Float()
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return fmt.Errorf("render: %s is not a finite number", at(path))
		}
		if f == 0 {
			f = 0 // a minus zero is a zero
		}
		raw, err := json.Marshal(f)
		if err != nil {
			return fmt.Errorf("render: %s: %w", at(path), err)
		}
		b.Write(raw)
	default: // maps have no order, channels and functions no value
		return fmt.Errorf("render: %s: a %s has no place in an answer", at(path), v.Kind())
	}
	return nil
}

func at(path string) string {
	if path == "" {
		return "the answer"
	}
	return path
}

func (b *jsonBuffer) text(s string) error {
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	if err := e.Encode(strings.ToValidUTF8(s, "\uFFFD")); err != nil {
		return fmt.Errorf("render: %w", err)
	}
	b.Truncate(b.Len() - 1) // the encoder's newline
	return nil
}

func (b *jsonBuffer) newline(depth int) {
	b.WriteByte('\n')
	for range depth {
		b.WriteString("  ")
	}
}

// jsonField reads a field's tag: its key, whether it is left out when empty,
// and whether it is written at all.
func jsonField(f reflect.StructField) (key string, omitEmpty, ok bool) {
	tag := f.Tag.Get("json")
	if !f.IsExported() || tag == "-" {
		return "", false, false
	}
	key, opts, _ := strings.Cut(tag, ",")
	if key == "" {
		key = f.Name
	}
	return key, strings.Contains(opts, "omitempty"), true
}

func (b *jsonBuffer) object(v reflect.Value, path string, depth int) error {
	b.WriteByte('{')
	n := 0
	err := b.fields(v, path, depth, &n)
	if err != nil {
		return err
	}
	if n > 0 {
		b.newline(depth)
	}
	b.WriteByte('}')
	return nil
}

func (b *jsonBuffer) fields(v reflect.Value, path string, depth int, n *int) error {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		if f.Anonymous && f.Tag.Get("json") == "" && f.Type.Kind() == reflect.Struct {
			if err := b.fields(v.Field(i), path, depth, n); err != nil {
				return err
			}
			continue
		}
		key, omitEmpty, ok := jsonField(f)
		if !ok || omitEmpty && isEmpty(v.Field(i)) {
			continue
		}
		if *n > 0 {
			b.WriteByte(',')
		}
		*n++
		b.newline(depth + 1)
		if err := b.text(key); err != nil {
			return err
		}
		b.WriteString(": ")
		sub := key
		if path != "" {
			sub = path + "." + key
		}
		if err := b.value(v.Field(i), sub, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// isEmpty is encoding/json's omitempty; a remark that says nothing is empty too.
func isEmpty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Array, reflect.Map, reflect.Slice, reflect.String:
		return v.Len() == 0
	case reflect.Struct:
		return v.Type() == remarkType && v.IsZero()
	}
	return v.IsZero()
}

func (b *jsonBuffer) list(v reflect.Value, path string, depth int) error {
	n := v.Len()
	if n == 0 {
		b.WriteString("[]")
		return nil
	}
	inline := false
	switch v.Type().Elem().Kind() {
	case reflect.Float32, reflect.Float64, reflect.Int, reflect.Int32, reflect.Int64:
		inline = !words.Knows(v.Index(0).Interface()) // numbers, not words
	}
	b.WriteByte('[')
	for i := range n {
		switch {
		case inline && i > 0:
			b.WriteString(", ")
		case !inline && i > 0:
			b.WriteByte(',')
			fallthrough
		case !inline:
			b.newline(depth + 1)
		}
		if err := b.value(v.Index(i), fmt.Sprintf("%s[%d]", path, i), depth+1); err != nil {
			return err
		}
	}
	if !inline {
		b.newline(depth)
	}
	b.WriteByte(']')
	return nil
}
