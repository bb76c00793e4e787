package words

import (
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/demold/tunnel"
)

var tunnelExamples = examples{
	tunnel.CodeThrough: {
		tunnel.Through{Count: 1},
		tunnel.Through{Count: 1, Listed: 1, Opening: 11.2, Web: &tunnel.Web{Length: 9.41, Area: 131}, Slit: &tunnel.Slit{Path: 14.7}},
		tunnel.Through{Count: 30, Listed: 24, Opening: 123.4, Slit: &tunnel.Slit{Locked: true}},
		tunnel.Through{Count: 2, Listed: 2, Opening: 123.4, Web: &tunnel.Web{Length: 1.5, Area: 86}, Slit: &tunnel.Slit{Path: 3}},
	},
	thin.CodeWeb: {thin.Worst{Thickness: 1.24, Depth: 9.1, Area: 86}, thin.Worst{Thickness: 0.52, Depth: 30, Area: 1280, More: 3}},
	thin.CodeFin: {thin.Worst{Thickness: 0.81, Depth: 5.5, Area: 40}, thin.Worst{Thickness: 0.01, Depth: 5.5, Area: 40, More: 1}},
}
