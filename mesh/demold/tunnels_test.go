package demold

import (
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
)

// TestTunnelsAreTold: an arch on a board is told of, at its web.
func TestTunnelsAreTold(t *testing.T) {
	r := analyze(t, shape.Arch(60, 20, 50, 15, 35), mesh.V(0, 0, 1), Options{Clay: ptr(0), Resolution: 0.5})
	for _, f := range r.Findings {
		if f.Code != tunnel.CodeThrough {
			continue
		}
		x := f.Facts.(tunnel.Through)
		if f.Severity != finding.Caution || f.At == nil || x.Count != 1 || x.Listed != 1 || x.Web == nil || x.Slit == nil || x.Slit.Locked {
			t.Errorf("got %+v with %+v", f, x)
		}
		return
	}
	t.Error("no word of the arch")
}
