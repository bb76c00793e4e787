package demold

import (
	"context"
	"reflect"
	"testing"

	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// TestKnown: an analysis that is told what is known says the same as one from
// the start, as often as one asks, and one that asks something else starts
// afresh.
func TestKnown(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	ctx := context.Background()
	s := solidtest.Of(t, shape.Mug(40, 90, 4, 30, 48))
	for _, mold := range []Mold{Block, TwoPart} {
		const cell = 2.5
		c, err := scene.New(ctx, s, up, scene.Options{Mold: mold, Resolution: cell})
		if err != nil {
			t.Fatal(err)
		}
		u, err := undercut.Find(ctx, c, undercut.Options{})
		if err != nil {
			t.Fatal(err)
		}
		known := &pose.Known{Undercuts: u, Sections: strip.Of(c, strip.Options{Parting: u.Parting})}
		var first *Report
		for n, o := range []Options{{Mold: mold}, {Mold: mold, Ignore: ptr(0.1)}, {Mold: mold}} {
			o.Resolution = cell
			want := first
			if n < 2 { // the third asks what the first did
				if want, err = Analyze(ctx, s, up, o); err != nil {
					t.Fatal(err)
				}
			}
			if n == 0 {
				first = want
			}
			o.Known = known
			got, err := Analyze(ctx, s, up, o)
			if err != nil {
				t.Fatal(err)
			}
			g, w := reflect.ValueOf(*got), reflect.ValueOf(*want)
			for i := range g.NumField() {
				if f := g.Type().Field(i); f.IsExported() && !reflect.DeepEqual(g.Field(i).Interface(), w.Field(i).Interface()) {
					t.Errorf("%s, ignore %v: %s differs", mold, o.Ignore, f.Name)
				}
			}
			if taken := got.Field == c.Field; taken != (o.Ignore == nil) {
				t.Errorf("%s, ignore %v: what is known was taken: %v", mold, o.Ignore, taken)
			}
		}
	}
}
