// Package words makes sentences of facts: the one place where findings,
// remarks and errors of the packages below are put in words, for a system of
// units. The terminal, the sheet, the page and the paper call it with the
// user's system; JSON always speaks metric. Below it no number is formatted
// for a reader and no flag is named.
//
// A package that finds something declares its code and the facts beside it:
//
//	package solid // findings.go
//
//	// CodeHoles: holes in the skin were closed. Facts: Holes.
//	const CodeHoles finding.Code = "mesh.open-holes"
//
//	// Holes are openings in the skin that were closed with patches.
//	type Holes struct {
//		Count   int
//		Largest unit.Length // across
//		At      mesh.Vec
//	}
//
//	s.Findings.Add(finding.Finding{Code: CodeHoles, Severity: finding.Caution, At: &at, Facts: Holes{...}})
//
// and this package has the entry, in the file of its area, keyed by the code:
//
//	var solidFindings = findings{
//		solid.CodeHoles: tells(func(v voice, h solid.Holes) Told {
//			return Told{
//				Summary: count(h.Count, "open hole") + " in the skin, the largest " + v.mm(h.Largest, sig(3)) + " across near " + v.place(h.At),
//				...
//			}
//		}),
//	}
//
// The figure given to a quantity of the voice (sig(3), fixed(0), upTo(1)) is
// how the metric voice writes the number; the US voice chooses its own.
// Coordinates of the file stay in millimetres in both. Remarks are keyed by the
// type of their facts (says), errors by their type (faults); facts may hold
// remarks, which v.say puts in words. Each table is named once, in words.go.
// Every code has example facts in the tests, which write CODES.md.
package words
