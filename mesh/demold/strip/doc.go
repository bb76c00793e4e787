// Package strip asks what the rubber must do to come off a pattern: how far a
// ring of it stretches over what is wider further on (Stretch), how far rubber
// inside the pattern is squeezed (Squeeze), and through what opening the
// pattern leaves (Mouth).
//
// All three are read from exact sections of the surface (mesh/section) across
// the way in which the mold comes off, made once, when first asked. Which parts of a
// section hang together, above it as parts of the pattern or below it as
// rubber, is read from the column field (forest.go). Perimeters are those of
// convex hulls: a stretched ring bridges what is hollow.
//
// A Sections value is not changed once made and may be shared. Results do not
// depend on the number of cores; the ctx is looked at between heights.
package strip
