// Package air asks where the two pours catch air, the rubber over the pattern
// and the casting in the finished mold, and how to tip, vent and feed the mold
// so that they do not.
//
// A pour is a cavity made of stretches of columns that liquid fills from below.
// Air leaves a place along a way that never descends; what finds none is caught.
// That is a widest path, found by one flood (flood.go) for every way in which
// the mold may lean. It presumes liquids that fill level and air that rises;
// neither the small bubbles that a pour drags in nor the film of air under a
// level ceiling is counted.
//
// Results do not depend on the number of cores. The ctx is looked at between
// floods, of which the longest takes some ten milliseconds.
package air
