// Package air asks where the two pours catch air, the rubber over the pattern
// and the casting in the finished mold, and how to tip, vent and feed the mold
// so that they do not.
//
// A pour is a cavity made of stretches of columns that liquid fills from below.
// Air leaves a place by a way on which nothing is lower than the place; what finds
// none is caught. It leaves rubber at the open sky, a casting at the mold's mouth or,
// where the mold is shut all round, at its one sprue: another place as high as that,
// but apart, catches air. Which of them has the sprue, and on which side a closed mold
// stands, is tried (feed.go, stand.go).
//
// The ways are widest paths, found by one flood (flood.go) for every way in which
// the mold may lean. It presumes liquids that fill level and air that rises;
// neither the small bubbles that a pour drags in nor the film of air under a
// level ceiling is counted.
//
// Results do not depend on the number of cores. The ctx is looked at between
// floods, of which the longest takes some ten milliseconds.
package air
