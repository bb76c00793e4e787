package words

import (
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/unit"
)

// area writes an area, a small one in mm².
func (v voice) area(a unit.Area) string {
	if !v.us && a < 100 {
		return short(float64(a)) + " mm²"
	}
	return v.cm2(a, short)
}

var tunnelFindings = findings{
	tunnel.CodeThrough: tells(func(v voice, f tunnel.Through) Told {
		t := Told{
			Summary: "the rubber closes through the pattern " + v.through(f),
			Effect:  "a mold in one piece cannot come off there without a cut: it holds the pattern like a ring on a finger",
			Hint:    "fill the opening with clay or a plug, slit the web of rubber there, or lay the pattern so that the opening faces up",
		}
		slit := "; with the web slit"
		if f.Count > 1 {
			slit = "; with every web slit"
		}
		switch {
		case f.Slit == nil:
		case f.Slit.Locked:
			t.Effect += "; a slit alone does not free it, since rubber is locked in besides"
		default:
			t.Effect += slit + " the rubber still has to bend round " + v.mm(f.Slit.Path, short)
		}
		return t
	}),
	thin.CodeWeb: tells(func(v voice, f thin.Worst) Told {
		return Told{
			"two parts of the pattern stand " + v.mm(f.Thickness, short) + " apart over " + v.area(f.Area) + ", " + v.mm(f.Depth, short) + " deep" + moreLikeIt(f.More) + ": between them the rubber is a thin web",
			"a web that thin and deep tears when the casting is pulled, and air stays in it when the rubber is poured",
			"brush rubber into it first, use a rubber of high tear strength, or fill it with clay or wax and cut the casting there",
		}
	}),
	thin.CodeFin: tells(func(v voice, f thin.Worst) Told {
		thick := v.mm(f.Thickness, short) + " thin"
		if f.Thickness < 0.1 { // an edge or a point: its least thickness is the mesh's
			thick = "under " + v.mm(0.1, upTo(1)) + " thin"
		}
		return Told{
			"the pattern is " + thick + " over " + v.area(f.Area) + ", " + v.mm(f.Depth, short) + " high" + moreLikeIt(f.More),
			"a fin that thin breaks off in the rubber, or comes out short or bent in the casting",
			"make it thicker, back it with wax, or mold it in soft rubber and pull slowly with release",
		}
	}),
}

// through says where the rubber links through, and through how much.
func (v voice) through(f tunnel.Through) string {
	where := "at one place"
	if f.Count > 1 {
		where = "at " + whole(f.Count) + " places"
	}
	where += ", as through a handle or under an arch"
	if f.Listed == 0 {
		return where + "; where could not be told"
	}
	what := "the opening"
	if f.Count > 1 {
		what = "the widest"
	}
	where += "; " + what + " lets a ball of " + v.mm(f.Opening, short) + " through"
	if f.Web != nil {
		where += ", is " + v.mm(f.Web.Length, short) + " long and has a web of " + v.area(f.Web.Area) + " to cut"
	}
	if missing := f.Count - f.Listed; missing > 0 {
		where += "; " + whole(missing) + " smaller or finer ones are counted but not listed"
	}
	return where
}

// moreLikeIt tells of further places of a kind.
func moreLikeIt(n int) string {
	if n == 0 {
		return ""
	}
	return ", and " + whole(n) + " more like it"
}
