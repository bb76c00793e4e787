package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// priced is a shop file in which everything has a price.
const priced = `[prices]
currency = "EUR"
labor_per_hour = 40
hours_pour = 1
hours_per_casting = 0.2
overhead_pct = 10
margin_pct = 20
sundries = 5
tax_pct = 19
[[rubber]]
name = "house"
family = "platinum"
shore_a = 20
sg = 1.1
mix = "1:1"
pot_life_min = 30
demold_min = 240
kits = [ { size_g = 1000, price = 30 } ]
[[board]]
name = "melamine-16"
price_per_m2 = 12
[[casting]]
name = "zinc-alloy"
price_per_kg = 9
`

// blockOBJ is a block of 40 × 30 × 20 mm.
const blockOBJ = `v 0 0 0
v 40 0 0
v 40 30 0
v 0 30 0
v 0 0 20
v 40 0 20
v 40 30 20
v 0 30 20
f 1 4 3 2
f 5 6 7 8
f 1 2 6 5
f 2 3 7 6
f 3 4 8 7
f 4 1 5 8
`

// weighable is a key of a mass, a part, an amount to measure out, or money; given is
// what of those the user has said, or the container that stays.
var (
	weighable = regexp.MustCompile(`(_g|_ml|^cost|^kits|total|subtotal|overhead|margin|per_casting|^offer|amount|price)$`)
	given     = []string{"rubber.have_g"}
)

// A job that is refused has no mass, no part, no amount and no total in its JSON,
// with prices or without; volumes stay, and each reason is a stop.
func TestRefusedHoldsNothingToWeigh(t *testing.T) {
	dir := t.TempDir()
	shop := filepath.Join(dir, "shop.toml")
	if err := os.WriteFile(shop, []byte(priced), 0o644); err != nil {
		t.Fatal(err)
	}
	block := filepath.Join(dir, "block.obj")
	if err := os.WriteFile(block, []byte(blockOBJ), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"pour", "--box", "100,100,50", "--displaced", "100cm3", "--cast", "zinc-alloy", "--shop", shop, "--copies", "20"},
		{"plan", block, "--resolution", "1mm", "--cast", "zinc-alloy", "--shop", shop, "--copies", "20", "--have", "300g"},
		{"containers", block, "--resolution", "1mm", "--inside", "25,25,25", "--shop", shop},
	} {
		name := args[0]
		var out, errs bytes.Buffer
		if status := run(append(args, "--json", "--quiet"), strings.NewReader(""), &out, &errs); status != exitOK {
			t.Errorf("%s: exit %d: %s", name, status, &errs)
			continue
		}
		var plan map[string]any
		if err := json.Unmarshal(out.Bytes(), &plan); err != nil {
			t.Fatal(err)
		}
		job := plan["job"].(map[string]any)
		if job["answer"] != "no" || job["change"] == nil {
			t.Errorf("%s: job is %v", name, job)
		}
		var stops []any
		for _, w := range plan["warnings"].([]any) {
			if w := w.(map[string]any); w["severity"] == "stop" {
				stops = append(stops, w["code"])
			} else if w["code"] == "rubber.scale-too-coarse" || w["code"] == "rubber.shelf-short" {
				t.Errorf("%s: told of %v", name, w["summary"])
			}
		}
		for _, b := range job["because"].([]any) {
			if c := b.(map[string]any)["code"]; !slices.Contains(stops, c) {
				t.Errorf("%s: %v refuses it and is no stop", name, c)
			}
		}
		for _, part := range []string{"rubber", "casting", "cost", "options"} {
			nothingToWeigh(t, name, part, part, plan[part])
		}
		r := plan["rubber"].(map[string]any)
		if !(r["volume_mm3"].(float64) >= 0) || len(r["pours"].([]any)) > 0 {
			t.Errorf("%s: rubber of %v mm³ in pours %v", name, r["volume_mm3"], r["pours"])
		}
		for _, m := range or(plan["methods"]) {
			if m := m.(map[string]any); m["chosen"] != false || m["rubber_volume_mm3"] == nil {
				t.Errorf("%s: method %v", name, m)
			}
		}
		if c, ok := plan["cost"].(map[string]any); ok && len(c["lines"].([]any)) > 0 {
			t.Errorf("%s: lines %v", name, c["lines"])
		}
	}
}

// or is a list, empty where there is none.
func or(v any) []any {
	list, _ := v.([]any)
	return list
}

func nothingToWeigh(t *testing.T, name, path, key string, v any) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		if weighable.MatchString(key) && path != key {
			t.Errorf("%s: %s is %v", name, path, v)
		}
		for k, x := range v {
			nothingToWeigh(t, name, path+"."+k, k, x)
		}
	case []any:
		for _, x := range v {
			nothingToWeigh(t, name, path, key, x)
		}
	case float64, string:
		if weighable.MatchString(key) && !slices.Contains(given, path) {
			t.Errorf("%s: %s is %v", name, path, v)
		}
	}
}
