package demold

import (
	"context"
	"reflect"
	"testing"

	"moldtally/mesh/demold/pose"
	"moldtally/mesh/shape"
)

// TestKnownUndercuts: an analysis that is told what the search has found says
// the same as one from the start, as often as one asks, and one that asks
// something else starts afresh.
func TestKnownUndercuts(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	ctx := context.Background()
	s := solidOf(t, shape.Mug(40, 90, 4, 30, 48))
	for _, mold := range []Mold{Block, TwoPart} {
		st, err := pose.Choose(ctx, s, pose.Options{Search: true, Mold: mold})
		if err != nil {
			t.Fatal(err)
		}
		if st.Known == nil {
			t.Fatalf("%s: the search hands nothing on", mold)
		}
		ignore := 0.1
		for _, o := range []Options{{Mold: mold}, {Mold: mold, Ignore: &ignore}, {Mold: mold}} {
			want, err := Analyze(ctx, s, st.Up, o)
			if err != nil {
				t.Fatal(err)
			}
			o.Known = st.Known
			got, err := Analyze(ctx, s, st.Up, o)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s: got %+v want %+v", mold, got, want)
			}
			if taken := got.Field == st.Known.Undercuts.Scene.Field; taken != (o.Ignore == nil) {
				t.Errorf("%s, ignore %v: what is known was taken: %v", mold, o.Ignore, taken)
			}
		}
	}
}
