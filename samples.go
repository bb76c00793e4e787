// Package moldtally holds the patterns that come with the program, for whoever has no
// file at hand yet. They are those of testdata, which says what each is.
package moldtally

import "embed"

// Samples are the patterns, under testdata.
//
//go:embed testdata/finial.stl testdata/heron.ply testdata/tile.obj
var Samples embed.FS
