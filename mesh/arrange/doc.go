// Package arrange cuts the faces of a surface that runs through itself along
// the lines in which they meet, and returns the boundary of what the surface
// shuts off from the outside: the exact union of all that crosses, overlaps,
// touches or nests.
//
// Every decision is exact for the coordinates as they are. New points are kept
// as fractions of whole numbers (a side of a face and a plane, or two lines in a
// plane), with two floats beside them that settle nearly every question; only
// the finished surface is rounded, each coordinate once, to the nearest number.
//
// How it goes (Outer):
//
//  1. Of each pair of faces that meet wrongly the stretch that they share is
//     found (meet.go). Faces that overlap in one plane make up one flat.
//  2. In each flat the stretches and the sides of its faces are cut at each
//     other and the flat is triangulated anew along them (flat.go,
//     triangulation.go). Where faces lie on each other the new ones stand for
//     all of them.
//  3. Round each edge the faces are put in order. Each side of a face belongs
//     to a cell of space; what is next to each other round an edge is the same
//     cell (cells.go). In each part of the surface that hangs together the
//     outermost cell is the one that its own faces enclose a negative volume of.
//  4. What has the outermost cell on one side only bounds the union. A part
//     that lies within another is left out (nest.go).
//
// The ideas are published: cutting by predicates on points that are never
// computed (M. Attene, "Indirect predicates for geometric constructions",
// Computer-Aided Design 126 (2020) 102856; G. Cherchi, M. Livesu, R. Scateni and
// M. Attene, "Fast and robust mesh arrangements using floating-point
// arithmetic", ACM Transactions on Graphics 39 (2020) 250; G. Cherchi,
// F. Pellacini, M. Attene and M. Livesu, "Interactive and robust mesh booleans",
// ACM Transactions on Graphics 41 (2022) 248), and cells joined round edges
// (Q. Zhou, E. Grinspun, D. Zorin and A. Jacobson, "Mesh arrangements for solid
// geometry", ACM Transactions on Graphics 35 (2016) 39). All from memory; the
// code is this program's own.
package arrange
