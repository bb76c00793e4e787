// Package shape makes bodies whose figures are known exactly, as truth for
// tests and for the sample patterns.
//
// Every function returns a closed mesh, wound outward, unless its name says
// otherwise (Without, Shells, Flip). A round body is a polyhedron: its exact
// volume is that of the facets, not of the ideal body, and comes from
// RevolveVolume (closed formula) or Volume (exact arithmetic over the
// triangles), so that a test can account for tessellation to the last digit.
//
// Bodies stand on z = 0 with +Z up and are centred on the Z axis unless their
// comment says otherwise. Lengths are millimetres. Arguments that make no body
// are a programming error and panic; the package is for code that knows what
// it asks for.
package shape
