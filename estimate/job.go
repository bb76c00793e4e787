package estimate

import (
	"moldtally/boxfit"
	"moldtally/estimate/money"
	"moldtally/estimate/record"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
)

// Job is what a user asks for a pattern: plain data, the same from a command
// line or a page. Lengths mm, masses g, volumes mm³, temperatures °C. The zero
// value is the documented default; a nil pointer means "not given".
type Job struct {
	Source Source

	// Upright is the side of the object that is its top when it stands in the
	// world; nil = as the file states, else +z. How it is molded is Up's.
	Upright *mesh.Vec
	// The finished size, along upright or at its longest; at most one of them.
	Height, Longest *float64

	KeepCrumbs bool
	Opening    string // "", closed, open

	Up         Up
	Mold       demold.Mold // "" = the one that suits
	Clay       *float64
	Ignore     *float64
	Web, Fin   *float64 // thinner is a web of rubber that tears, a fin that breaks; nil = default
	Resolution float64
	Search     bool
	Show       *mesh.Vec

	Container         boxfit.Kind // "" = the one that suits
	Inside            *[3]float64 // the user's own box, clear inside
	InsideTube        *[2]float64 // the user's own tube: bore, height
	Wall, Over, Under *float64
	Coat              *float64 // thickness of a blanket's rubber, poured or brushed
	Board             string
	Tube              string // stock or exact

	Rubber rubber.Request

	PatternMaterial string
	PatternMass     *float64
	Infill          *float64 // per cent
	Fixed           bool     // it will be screwed, glued or weighted down
	Displaced       *float64 // as measured by dunking
	Irreplaceable   bool
	PatternValue    *money.Amount // what the pattern is worth, for weighing risk; nil = as the shop file says
	Release         string        // release or sealer on the pattern, by name

	Cast     string // what is cast
	CastWall *float64
	Copies   int
	// Breaks are numbers of copies that are priced beside each other, the last of them
	// Copies; none = Copies alone.
	Breaks []int

	Temp *float64 // nil = 23 °C

	Date rubber.Date // today, for shelf dates; the zero day judges none

	Letter *Addressee // whom a quote is for; nil = no quote

	Parts Parts

	Shop *Shop // the user's own stock and prices; nil = none

	Log record.Log // what the shop's pours really took
}

// Source is what is known of where the mesh came from.
type Source struct {
	File      string // base name
	Format    string
	Units     string // mm, cm, m, in, ft, micron
	UnitsFrom UnitsFrom
	FileUp    *mesh.Vec // the file's declared up (glTF +Y, 3MF +Z), a candidate for auto
	// Resized is how many times as big as in the file the pattern is made; 1 = as
	// it is.
	Resized float64
	// SizeGiven says that the finished size was given, so that the file's unit
	// no longer matters.
	SizeGiven bool
	// Findings are about the file itself.
	Findings finding.List
}

// Up is the side that faces up in the container.
type Up struct {
	Auto bool // also when zero: a zero Dir means auto
	Dir  mesh.Vec
}

// Held reports whether the user holds the pattern one way up.
func (u Up) Held() bool { return !u.Auto && u.Dir != (mesh.Vec{}) }

// Parts says which parts of the plan to compute; the zero value means all.
type Parts struct {
	StopAfter Stage
}

// Stage names how far Tally goes.
type Stage int

// Stages, in order. All is the zero value.
const (
	All Stage = iota
	ThroughPattern
	ThroughDemold
	ThroughContainer
)

// Session is everything a run holds: what pictures and pages draw from.
type Session struct {
	Mesh   *mesh.Mesh
	Solid  *solid.Solid
	Report *demold.Report
	Fit    *boxfit.Fit
	Plan   *Plan
}
