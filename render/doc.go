// Package render shows a plan: as JSON for scripts, and as a sheet of words for
// a mold maker. Package picture, above it, draws.
//
//   - WriteJSON and WriteManyJSON write every figure unrounded, in the keys of
//     the plan's own tags.
//   - NewSheet turns a plan into rows of label, value, unit and note, a file to
//     each section; figures are rounded to what their bounds allow by package
//     figure, sentences are package words'. WriteText sets a sheet for a
//     terminal, WriteHTML as a page that needs nothing else, WritePDF on paper.
//     NewTotals lists several patterns in one table, NewQuote is for a client.
//
// The package computes nothing about molds: what it shows was found in
// estimate and below. The same plan gives the same bytes. The writer of PDF
// (fpdf) is used here and nowhere else.
package render
