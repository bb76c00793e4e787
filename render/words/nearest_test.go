package words

import "testing"

func TestNearest(t *testing.T) {
	choices := []string{"plan", "check", "demold", "containers", "pour"}
	for w, want := range map[string]string{"plna": "plan", "chek": "check", "cont": "containers", "po": "pour", "zebra": "", "": "", "demould": "demold"} {
		if got := Nearest(w, choices); got != want {
			t.Errorf("%q: got %q, want %q", w, got, want)
		}
	}
	materials := []string{"sulfur-clay", "oil-clay", "water-clay", "pla", "old-plaster", "plaster"}
	for w, want := range map[string]string{"clay": "sulfur-clay, oil-clay or water-clay", "plaste": "plaster", "pa": "pla", "abs": ""} {
		if got := Nearest(w, materials); got != want {
			t.Errorf("%q: got %q, want %q", w, got, want)
		}
	}
	for _, x := range []struct {
		a, b string
		want int
	}{{"", "abc", 3}, {"kitten", "sitting", 3}, {"abc", "abc", 0}, {"abc", "", 3}} {
		if got := distance(x.a, x.b); got != x.want {
			t.Errorf("%q to %q: got %d, want %d", x.a, x.b, got, x.want)
		}
	}
}
