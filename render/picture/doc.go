// Package picture draws what was planned: Preview a sheet of views shaded by how
// far the rubber must bend, the pattern inside its container as glass, with a
// section through the worst undercut; WriteGLB the same as a model to turn and
// look at. WritePNG encodes a picture.
//
// It computes nothing about molds: what it shows was found in estimate and
// below. The same session gives the same bytes, whatever the number of cores.
// The rasteriser (fauxgl) is used here and nowhere else; it draws opaque
// triangles, one view per goroutine.
package picture
