// Package mesh holds triangle meshes and what can be asked of them without
// knowing what they are for: welding, topology, pieces, area, signed volume,
// convex hull, outline.
//
// All coordinates are float64 millimetres in the pattern file's own axes; no
// function rotates or rescales a mesh, and "up" is always an argument.
// The package and its two leaves (unit, finding) import the standard library
// only.
package mesh
