package material

import (
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestEveryFigureHasASource(t *testing.T) {
	seen := map[string]bool{}
	once := func(kind, name string) {
		if name == "" || seen[kind+name] {
			t.Errorf("%s %q has no name or stands twice", kind, name)
		}
		seen[kind+name] = true
	}
	for _, p := range Patterns() {
		once("pattern", p.Name)
		if p.CureSource == "" || p.What == "" {
			t.Errorf("%s: no source for its cure, or no words", p.Name)
		}
		for _, f := range Families {
			for _, w := range strings.Fields(map[Family]string{Platinum: p.Cure.Platinum, Tin: p.Cure.Tin, Polyurethane: p.Cure.Polyurethane}[f]) {
				if !strings.Contains(" ok seal release test no ", " "+w+" ") {
					t.Errorf("%s under %s: %q is no word of the table", p.Name, f, w)
				}
			}
			if c, ok := p.Against(f); !ok || c == (Cure{}) {
				t.Errorf("%s under %s: nothing said", p.Name, f)
			}
		}
		sources(t, p.Name, reflect.ValueOf(p))
	}
	for _, c := range Castings() {
		once("casting", c.Name)
		if c.FamiliesSource == "" || c.Mix != "" && c.MixSource == "" || c.What == "" {
			t.Errorf("%s lacks a source or words", c.Name)
		}
		sources(t, c.Name, reflect.ValueOf(c))
	}
	for _, r := range Releases() {
		once("release", r.Name)
		if r.Source == "" || r.What == "" || len(r.For) == 0 {
			t.Errorf("%s lacks a source, words or a use", r.Name)
		}
	}
	if len(Patterns()) < 40 || len(Castings()) < 15 || len(Releases()) < 6 {
		t.Errorf("%d pattern materials, %d castings, %d releases", len(Patterns()), len(Castings()), len(Releases()))
	}
}

func sources(t *testing.T, name string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			sources(t, name, v.Elem())
		}
	case reflect.Struct:
		if f, ok := v.Interface().(Figure); ok {
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

// The classic failures and the classic safe pairs.
func TestMatrix(t *testing.T) {
	for _, c := range []struct {
		pattern  string
		f        Family
		no, seal bool
	}{
		{"sulfur-clay", Platinum, true, false}, {"sulfur-clay", Tin, false, true},
		{"natural-rubber", Platinum, true, false}, {"natural-rubber", Tin, false, false},
		{"tin-silicone", Platinum, true, false}, {"photopolymer", Platinum, true, false},
		{"photopolymer", Tin, false, false}, {"pla", Platinum, false, false},
		{"water-clay", Polyurethane, true, false}, {"plaster", Platinum, false, true}, {"epoxy-fresh", Platinum, true, false},
	} {
		p, ok := FindPattern(c.pattern)
		if !ok {
			t.Fatalf("no %s", c.pattern)
		}
		got, _ := p.Against(c.f)
		if got.No != c.no || got.Seal != c.seal {
			t.Errorf("%s under %s: got %+v, want no %v, seal %v", c.pattern, c.f, got, c.no, c.seal)
		}
		if (got.Trouble() >= 100) != c.no {
			t.Errorf("%s under %s: trouble %d", c.pattern, c.f, got.Trouble())
		}
	}
	for _, n := range []string{"platinum-silicone", "tin-silicone"} {
		p, _ := FindPattern(n)
		if c, _ := p.Against(Tin); !c.Release {
			t.Errorf("tin-cure over %s: no release asked for", n)
		}
	}
	if _, ok := (Pattern{}).Against("unheard-of"); ok {
		t.Error("an unknown chemistry is known")
	}
}

func TestPrintedFraction(t *testing.T) {
	// A cube of 50 mm with 1.2 mm of shell all round and 15 % infill: inside is a
	// cube of 47.6 mm, so the shell is 0.137199 of it. A ball of 30 mm has one of
	// 28.8 mm inside.
	exact := 0.137199 + (1-0.137199)*0.15
	if got := PrintedFraction(6*50*50, 50*50*50, 1.2, 0.15); math.Abs(got-exact) > 1e-6 {
		t.Errorf("a cube: got %.6f, want %.6f", got, exact)
	}
	core := 28.8 / 30 * 28.8 / 30 * 28.8 / 30
	if got := PrintedFraction(4*math.Pi*30*30, 4./3*math.Pi*30*30*30, 1.2, 0); math.Abs(got-(1-core)) > 1e-12 {
		t.Errorf("a ball: got %.6f, want %.6f", got, 1-core)
	}
	// A plate of 100 by 100 by 4 mm: exactly 0.61897.
	if got := PrintedFraction(2*1e4+1600, 4e4, 1.2, 0); got > 0.61897 || got < 0.61897*5/6 {
		t.Errorf("a plate: got %.4f", got)
	}
	if got := PrintedFraction(6, 1, 1, 0.1); got != 1 {
		t.Errorf("a print that is all shell: got %g, want 1", got)
	}
}
