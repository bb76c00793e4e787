// Package section cuts the surface of a mesh with planes, exactly: not a raster
// of the plane but the very points in which it meets the edges.
//
// A Slicer makes the sections at one height or at a whole stack of heights
// along a direction, joined into loops with their areas, lengths and convex
// hulls. Triangle cuts a single triangle with any plane, for callers that walk
// the triangles themselves or interpolate more than places; Clip keeps the part
// of a triangle on one side of a plane.
//
// # Degeneracies
//
// No vertex lies in a plane: it counts as above or below by a rule (Level), so
// a plane either misses a triangle or crosses two of its edges, also where it
// runs through corners, along edges or within faces. A flat face at a height
// has two sections, just below and just above it, which differ by the face. A
// segment may be a point, and a loop all of whose points coincide is one that
// the surface just touches.
//
// # Exactness
//
// A point lies on its edge at float64 rounding and between its ends. It is
// reckoned from the end with the smaller index, so both faces of an edge find
// the same bits and lines close where the surface does: points are one by the
// edge they lie on, never by being near. What hangs together in a section is
// what hangs together across edges in the surface, in open, crossing and
// branching surfaces too; whether a loop is one closed line is told (Loop.Sound).
//
// # Order and cancelling
//
// Segments come in the order of the triangles, points and loops in the order
// in which segments first meet them, whatever the number of cores. The context
// is looked at before each block of triangles (some thousands) and each height.
package section
