package picture

import (
	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// openingLines are the lines in the scene that a mold opens along, and what the
// legend calls them: of a mold that is cut open its seam, else the natural
// parting line.
func openingLines(r *demold.Report, sc *scene) (lines [][]mesh.Vec, word string) {
	if r == nil {
		return nil, ""
	}
	var from [][][3]float64
	switch {
	case r.Seam != nil:
		from, word = r.Seam.Line, "cut open here"
	case r.Parting != nil:
		from, word = r.Parting.Line, "parting line"
	}
	for _, line := range from {
		l := make([]mesh.Vec, len(line))
		for i, p := range line {
			l[i] = sc.at(vec(p))
		}
		lines = append(lines, l)
	}
	return lines, word
}
