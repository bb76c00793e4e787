// Package meshfile reads the files patterns arrive in: STL, OBJ, PLY, OFF,
// glTF, GLB and 3MF, plain or wrapped in gzip or zip, and writes them again.
//
// The kind of a file is told from its content, never from its name. Node and
// build-item transforms are applied; after that coordinates go to the Builder
// as the numbers that stand in the file (text as the nearest float64, binary
// as stored), so that welding and counts never depend on the unit. The unit a
// file states is reported, not applied: the caller scales in Build.
//
// # Hostile input
//
// A file is never trusted: counts are checked against what the file's bytes
// can hold before memory is asked for, indices against their range,
// coordinates for being finite and within 1e12; node and component graphs are
// checked for cycles and depth; nothing is fetched from the network, and glTF
// side files are opened only inside the pattern's own folder.
//
// Memory stays below 64 MiB plus about 64 times the bytes read; the worst is a
// binary PLY of one endless polygon, and ordinary files need less than three
// times their size, a large binary STL about half. What a compressed file
// expands to counts as read, and may be at most 64 MiB or 50 times its size,
// whichever is more. Copies of one part (3MF components, glTF instances) may
// make at most four million triangles plus eight per byte of the file, and
// never more than Options.MaxTriangles. Every failure is an *Error, which
// render/words puts in words, or wraps ctx.Err().
package meshfile
