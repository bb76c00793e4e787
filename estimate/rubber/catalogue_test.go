package rubber

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"moldtally/estimate/material"
)

func TestEveryFigureHasASource(t *testing.T) {
	families := map[material.Family]int{}
	names := map[string]bool{}
	low, high := 100.0, 0.0
	for _, r := range Catalogue() {
		if names[r.Name] {
			t.Errorf("%s stands twice", r.Name)
		}
		names[r.Name] = true
		families[r.Family]++
		if !regexp.MustCompile(`^(platinum|tin|polyurethane|latex)-[a-z0-9-]+$`).MatchString(r.Name) {
			t.Errorf("%s: not a plain name of class and hardness", r.Name)
		}
		if r.ShoreA != nil {
			low, high = min(low, r.ShoreA.Value), max(high, r.ShoreA.Value)
		}
		if _, ok := r.Hardness(); !ok {
			t.Errorf("%s: no hardness", r.Name)
		}
		if _, err := ParseRatio(r.MixRatio); err != nil || r.MixSource == "" {
			t.Errorf("%s: mix %q, source %q", r.Name, r.MixRatio, r.MixSource)
		}
		if r.MixBy != "weight" && (r.MixBy != "volume" || r.SGA == nil || r.SGB == nil) {
			t.Errorf("%s: mixes by %q without both gravities", r.Name, r.MixBy)
		}
		for _, f := range []*material.Figure{r.PotLife, r.Demold, r.Viscosity, r.Elongation, r.Tear, r.HeatLimit, r.Shrinkage, r.LibraryLife} {
			if f == nil {
				t.Errorf("%s lacks a figure", r.Name)
			}
		}
		sources(t, r.Name, reflect.ValueOf(r))
	}
	for _, f := range material.Families {
		if families[f] < 3 {
			t.Errorf("%d rubbers of %s, want 3 or more", families[f], f.Words())
		}
	}
	if len(names) < 12 || low > 10 || high < 60 {
		t.Errorf("%d rubbers from %g to %g A, want 12 from 10 to 60", len(names), low, high)
	}
}

// sources walks a value and complains of each Figure without a source or with
// ends that do not enclose its value.
func sources(t *testing.T, name string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			sources(t, name, v.Elem())
		}
	case reflect.Struct:
		if f, ok := v.Interface().(material.Figure); ok {
			lo, hi := f.Range()
			if strings.TrimSpace(f.Source) == "" || lo > f.Value || hi < f.Value {
				t.Errorf("%s: %+v has no source, or ends that do not enclose it", name, f)
			}
			return
		}
		for i := range v.NumField() {
			sources(t, name+"."+v.Type().Field(i).Name, v.Field(i))
		}
	}
}

func TestFind(t *testing.T) {
	own := []Rubber{{Name: "Platinum-20", What: "mine"}}
	if r, ok := Find(own, "platinum-20"); !ok || r.What != "mine" {
		t.Errorf("own stock does not come first: %v", r)
	}
	if _, ok := Find(nil, "TIN-20"); !ok {
		t.Error("TIN-20 not found")
	}
	if _, ok := Find(nil, "no such"); ok {
		t.Error("found what is not there")
	}
}
