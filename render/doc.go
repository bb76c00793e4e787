// Package render shows a plan: as JSON for scripts, as a sheet of words for a
// mold maker, and as a picture for a client.
//
//   - WriteJSON and WriteManyJSON write every figure unrounded, in the keys of
//     the plan's own tags.
//   - NewSheet turns a plan into rows of label, value, unit and note, a file to
//     each section; figures are rounded to what their bounds allow by package
//     figure. WriteText sets a sheet for a terminal, WriteHTML
//     as a page that needs nothing else, WritePDF on paper. NewTotals lists
//     several patterns in one table.
//   - Preview draws the pattern shaded by how far the rubber must bend, inside
//     its container as glass, from four sides; WritePNG encodes it.
//
// The package computes nothing about molds: what it shows was found in
// estimate and below. The same plan gives the same bytes, whatever the number
// of cores. The one third-party rasteriser (fauxgl) and the writer of PDF (fpdf)
// are used here and nowhere else.
package render
