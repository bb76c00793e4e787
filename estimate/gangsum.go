package estimate

import (
	"math"
	"strconv"
	"strings"

	"moldtally/estimate/labor"
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Member is a pattern of several in one container, as the plan tells it.
type Member struct {
	File      string     `json:"file"`
	Count     int        `json:"count"`
	Size      [3]float64 `json:"size_mm"`
	Displaced *float64   `json:"displaced_volume_mm3"` // of one
	Up        [3]float64 `json:"up"`
	Verdict   Answer     `json:"verdict"` // of a block of its own
}

// Gang is what one mold of several patterns gives, beside molds of their own.
type Gang struct {
	Cavities int     `json:"castings_per_pour"`
	Web      float64 `json:"web_mm"` // least rubber between two patterns
	// Together is this mold; Single one mold of each file; AsMany as many molds as there
	// are cavities, each with a box of its own.
	Together Series `json:"together"`
	Single   Series `json:"one_of_each"`
	AsMany   Series `json:"as_many_single"`
}

// Series is molds that are used side by side. Nil is not known: nothing is cast, or no
// number of castings is wanted.
type Series struct {
	Molds   int      `json:"molds"` // that stand side by side
	Rubber  float64  `json:"rubber_mass_g"`
	Minutes float64  `json:"labor_min"` // to make them
	PerDay  *float64 `json:"castings_a_day"`
	Days    *int     `json:"casting_days"` // for all castings that are wanted
	Worn    *int     `json:"molds_needed"` // till then, as molds wear out
}

// ByItself says how one pattern of several comes out of a block, as a remark.
type ByItself struct {
	File    string
	Answer  Answer // "" = as all together do
	Because finding.Remark
}

// Summed says that volumes are those of several patterns added up, as a remark.
type Summed struct{ Count int }

// members are the patterns as the plan tells them.
func (g *gathered) members() (out []Member) {
	for _, p := range g.parts {
		out = append(out, Member{p.job.Source.File, p.count, p.pattern.Size, p.pattern.DisplacedVolume, p.trial.pose.Up, p.trial.verdict.Answer})
	}
	return out
}

// mostNamed is how many files a title names.
const mostNamed = 4

// name is what all patterns are called together.
func (g *gathered) name() string {
	var names []string
	for i, p := range g.parts {
		if more := len(g.parts) - i; i == mostNamed-1 && more > 1 {
			names = append(names, strconv.Itoa(more)+" more")
			break
		}
		n := p.job.Source.File
		if p.count > 1 {
			n = strconv.Itoa(p.count) + " × " + n
		}
		names = append(names, n)
	}
	return strings.Join(names, ", ")
}

// source is where all patterns come from: what one assumes is assumed.
func (g *gathered) source() Source {
	s := g.parts[0].job.Source
	s.File, s.Findings, s.FileUp, s.Resized = g.name(), nil, nil, 1
	for _, p := range g.parts[1:] {
		o := p.job.Source
		if o.Format != s.Format {
			s.Format = "several formats"
		}
		if o.Units != s.Units {
			s.Units = "as each file has them"
		}
		if o.UnitsFrom == UnitsAssumed || o.UnitsFrom != s.UnitsFrom && s.UnitsFrom != UnitsAssumed {
			s.UnitsFrom = o.UnitsFrom
		}
	}
	return s
}

// displaced is what all patterns displace.
func (g *gathered) displaced() (sum unit.Bounded[unit.Volume]) {
	for _, p := range g.parts {
		n, d := unit.Volume(p.count), p.solid.Displaced
		if v := p.job.Displaced; v != nil {
			d = unit.Exactly(unit.Volume(*v))
		}
		sum.Low, sum.Value, sum.High = sum.Low+n*d.Low, sum.Value+n*d.Value, sum.High+n*d.High
	}
	return sum
}

// pattern is the sum of all patterns; size is what they reach over as they stand.
func (g *gathered) pattern(size mesh.Vec) *Pattern {
	src := g.source()
	out := &Pattern{File: src.File, Format: src.Format, Units: src.Units, UnitsFrom: src.UnitsFrom, Size: size.Array(), Closed: true, Repairs: []finding.Remark{},
		ThroughHoles: new(0), SealedVoids: new(0), SelfCrossings: new(0), SealedVoidVolume: new(0.0), MaterialVolume: new(0.0),
		DisplacedMethod: &finding.Remark{Facts: Summed{len(g.stands)}}}
	for _, p := range g.parts {
		x, n := p.pattern, p.count
		out.Triangles, out.Vertices, out.Pieces, out.Crumbs = out.Triangles+n*x.Triangles, out.Vertices+n*x.Vertices, out.Pieces+n*x.Pieces, out.Crumbs+n*x.Crumbs
		out.BoundaryEdges, out.NonManifoldEdges, out.TurnedEdges = out.BoundaryEdges+n*x.BoundaryEdges, out.NonManifoldEdges+n*x.NonManifoldEdges, out.TurnedEdges+n*x.TurnedEdges
		out.DegenerateFaces, out.DuplicateFaces = out.DegenerateFaces+n*x.DegenerateFaces, out.DuplicateFaces+n*x.DuplicateFaces
		out.Area, out.SignedVolume = out.Area+float64(float64(n)*x.Area), out.SignedVolume+float64(float64(n)*x.SignedVolume)
		out.Closed = out.Closed && x.Closed
		out.ThroughHoles, out.SealedVoids, out.SelfCrossings = plus(out.ThroughHoles, x.ThroughHoles, n), plus(out.SealedVoids, x.SealedVoids, n), plus(out.SelfCrossings, x.SelfCrossings, n)
		out.SealedVoidVolume, out.MaterialVolume = plus(out.SealedVoidVolume, x.SealedVoidVolume, n), plus(out.MaterialVolume, x.MaterialVolume, n)
	}
	d := g.displaced()
	f := func(v unit.Volume) *float64 { return new(float64(v)) }
	out.DisplacedVolume, out.DisplacedLow, out.DisplacedHigh = f(d.Value), f(d.Low), f(d.High)
	return out
}

// plus adds n times x; nil = not known.
func plus[N int | float64](sum, x *N, n int) *N {
	if sum == nil || x == nil {
		return nil
	}
	return new(*sum + N(n)**x)
}

// counting says how many molds of a pattern are meant.
type counting func(*part) int

func oneOfEach(*part) int { return 1 }

func asMany(p *part) int { return p.count }

// compare sets the mold of all beside molds of their own.
func (g *gathered) compare(m *method) *Gang {
	out := &Gang{Cavities: len(g.stands), Web: g.web, Single: g.separate(oneOfEach), AsMany: g.separate(asMany),
		Together: Series{Molds: 1, Rubber: m.mix.mix.Mass, Minutes: m.Minutes}}
	if m.casting == nil || m.casting.DemoldAfter == nil {
		return out
	}
	class, _ := labor.ClassOf(g.longest)
	r := labor.CastingOf(class, *m.casting.DemoldAfter)
	r.Cavities = len(g.stands)
	out.Together.cast(r.PerDay()/float64(r.Cavities), r.Cavities, g.fills(asMany))
	if n := g.fills(asMany); n > 0 {
		out.Together.Worn = new(labor.Molds(n, lifeOf(m), 0, 0))
	}
	g.castSeparately(&out.Single, oneOfEach)
	g.castSeparately(&out.AsMany, asMany)
	return out
}

// fills is how often molds are filled, so many of each file at a time, until its
// castings have turned out; 0 = no number is wanted.
func (g *gathered) fills(count counting) (n int) {
	for _, p := range g.parts {
		n = max(n, ceil(labor.Made(p.job.Copies, labor.Scrap), count(p)))
	}
	return n
}

// ceil is a over b, rounded up.
func ceil(a, b int) int { return (a + b - 1) / b }

// lifeOf is the fewest castings that a mold gives; 0 = not known.
func lifeOf(m *method) int {
	if m.casting == nil || m.casting.PullsLow == nil {
		return 0
	}
	return *m.casting.PullsLow
}

// separate is some molds of each file, made one by one.
func (g *gathered) separate(count counting) (s Series) {
	for _, p := range g.parts {
		n := count(p)
		s.Molds += n
		s.Rubber += float64(float64(n) * p.alone.mix.mix.Mass)
		s.Minutes += p.alone.Minutes + float64(float64(n-1)*p.alone.Again)
	}
	return s
}

// castSeparately is how castings come out of molds that one person fills one after
// the other and empties likewise.
func (g *gathered) castSeparately(s *Series, count counting) {
	all, fills, worn := labor.Round{}, g.fills(count), 0
	for _, p := range g.parts {
		class, _ := labor.ClassOf(p.longest())
		r, n := labor.CastingOf(class, 0), count(p)
		if c := p.alone.casting; c != nil && c.DemoldAfter != nil {
			all.Cure = max(all.Cure, *c.DemoldAfter)
		}
		all.Fill, all.Demold = all.Fill+float64(float64(n)*r.Fill), all.Demold+float64(float64(n)*r.Demold)
		worn += n * labor.Molds(fills, lifeOf(p.alone), 0, 0)
	}
	s.cast(all.PerDay(), s.Molds, fills)
	if fills > 0 {
		s.Worn = &worn
	}
}

// cast says how many castings a day come out of molds that are filled so often a day,
// and how many days some fillings take, with one set of molds in use at a time.
func (s *Series) cast(perDay float64, cavities, fills int) {
	s.PerDay = new(perDay * float64(cavities))
	if fills > 0 {
		s.Days = new(int(math.Ceil(float64(fills)/perDay - 1e-9)))
	}
}
