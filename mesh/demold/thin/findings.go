package thin

import (
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of thin places. The facts of both are [Worst].
const (
	CodeWeb finding.Code = "demold.thin-web"
	CodeFin finding.Code = "demold.thin-fin"
)

// Worst is the worst place of its kind, and how many more there are.
type Worst struct {
	Thickness, Depth unit.Length
	Area             unit.Area
	More             int
}

// Findings tells of the worst web and the worst fin.
func (r Result) Findings() (out finding.List) {
	for _, kind := range [2]Kind{Web, Fin} {
		n, worst := 0, -1
		for k, p := range r.Places {
			if p.Kind == kind {
				n += p.Places
				if worst < 0 {
					worst = k
				}
			}
		}
		if worst < 0 {
			continue
		}
		p := r.Places[worst]
		code := CodeWeb
		if kind == Fin {
			code = CodeFin
		}
		out.Add(finding.Finding{Code: code, Severity: finding.Caution, At: &p.At,
			Facts: Worst{unit.Length(p.Thickness), unit.Length(p.Depth), unit.Area(p.Area), n - 1}})
	}
	return out
}
