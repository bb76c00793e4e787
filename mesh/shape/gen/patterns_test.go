package gen

import (
	"fmt"
	"math"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// pattern is a sample with what is known of it.
type pattern struct {
	name, what, origin, defect string
	figures                    []string
	data                       []byte
}

const scenario = `A stair from a house that burned is to be put back. The joiner has turned one new
newel finial, the carver has cut one tile of the frieze and modelled the heron
that sat on the lowest post, and a plasterer has run the little arch of the
landing. Each is wanted in a dozen castings, so each needs a rubber mold. The
heron was also scanned where it stood, before it was cleaned.`

// patterns makes every sample, in the order of the list.
func patterns() []pattern {
	var out []pattern

	prof := finialProfile()
	fin := finial()
	ideal, cut := revolvedUndercut(prof, 0, 0), revolvedUndercut(prof, finialSteps, 0)
	out = append(out, pattern{
		name: "finial.stl", what: "turned newel finial, stands on its plinth, +Z up",
		origin: fmt.Sprintf("a profile of %d points turned in %d steps (mesh/shape.Revolve)", len(prof), finialSteps),
		defect: "none; undercut below the ball on purpose",
		figures: append(count(fin),
			fmt.Sprintf("volume %.2f mm³ (profile and facets: %.2f; ideal body of revolution: %.2f)", shape.Volume(fin), shape.RevolveVolume(prof, finialSteps), shape.RevolveVolume(prof, 0)),
			fmt.Sprintf("for +Z without clay: undercut depth and path %.4f mm at height %.2f mm (ideal %.4f), volume %.2f mm³ (ideal %.2f), stretch %.5f from the neck at %.2f mm to the bulge at %.2f mm",
				cut.Depth, cut.DepthAt, ideal.Depth, cut.Volume, ideal.Volume, cut.Stretch, cut.Neck, cut.Bulge),
			"no tunnel, genus 0",
		),
		data: binarySTL(fin, "newel finial, mm"),
	})

	verts, faces := tile()
	for i, v := range verts {
		verts[i] = mesh.V(float64(float32(v.X)), float64(float32(v.Y)), float64(float32(v.Z)))
	}
	tm := tileMesh(verts, faces)
	out = append(out, pattern{
		name: "tile.obj", what: "carved frieze tile, flat at the back, +Z up",
		origin: fmt.Sprintf("heights over a grid of %d by %d, as quadrangles (cut from their first corner for the figures below)", tileCells, tileCells),
		defect: "none; some quadrangles are not flat, as carved surfaces in OBJ are",
		figures: append(count(tm),
			fmt.Sprintf("volume %.2f mm³ as cut here; the other cut differs by less than 0.1 %%", shape.Volume(tm)),
			"for +Z: nothing is undercut; genus 0",
		),
		data: obj(verts, faces, "frieze tile; mm; Z up"),
	})

	her := heron()
	out = append(out, pattern{
		name: "heron.ply", what: "heron in reeds, stands on its mound, looks along +X, +Z up",
		origin: fmt.Sprintf("blended limbs and ellipsoids meshed on a lattice of %.1f mm by marching tetrahedra, then evened out on the surface", heronCell),
		defect: "none; beak, neck, plume, wings and tail overhang; nothing can be seen through",
		figures: append(count(her),
			fmt.Sprintf("volume %.2f mm³ of the facets; genus 0, one piece", shape.Volume(her)),
		),
		data: binaryPLY(her, "heron in reeds, mm"),
	})

	scan, crumbs := heronScan(her)
	open, loops := openEdges(scan)
	out = append(out, pattern{
		name: "heron-scan.ply", what: "the same heron as scanned, moved off by (212.5, -87.25, 34) mm",
		origin: "made from heron.ply: shaken along its normals by at most 0.14 mm, then cut",
		defect: fmt.Sprintf("no bottom (ragged rim 0.4 to 2.2 mm above the ground); %d holes with radii of 5 to 8 mm: under the belly, in the crook of the neck, on the mound; %d crumbs of 0.8 mm",
			len(scanHoles), crumbs),
		figures: append(count(scan),
			fmt.Sprintf("%d open edges in %d loops, one of them the bottom", open, loops),
			fmt.Sprintf("displaces what heron.ply does, %.0f mm³, less the slice of mound under the rim (about 1.3 mm of %.0f mm²) and within about 1 %%", shape.Volume(her), baseArea(her)),
		),
		data: binaryPLY(scan, "hand scan"),
	})

	a := arch()
	pa := math.Abs(shape.PolygonArea(archProfile(48)))
	out = append(out, pattern{
		name: "arch.stl", what: "landing arch, stands on its two piers, opening along Y, +Z up (ASCII)",
		origin: "an outline with a half-round opening of 48 chords, 36 mm deep (mesh/shape.Prism)",
		defect: "none; rubber links through under the arch",
		figures: append(count(a),
			fmt.Sprintf("volume %.3f mm³ (outline %.5f mm² × %g mm)", shape.Volume(a), pa, archDepth),
			"standing on the board: one tunnel; genus 0",
		),
		data: asciiSTL(a, "arch"),
	})
	return out
}

func count(m *mesh.Mesh) []string {
	s := m.Size()
	return []string{
		fmt.Sprintf("%d triangles, %d vertices", m.NumTriangles(), m.NumVertices()),
		fmt.Sprintf("%.3f × %.3f × %.3f mm", s.X, s.Y, s.Z),
	}
}

// baseArea is the area of the triangles that lie in z = 0.
func baseArea(m *mesh.Mesh) float64 {
	sum := 0.0
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		if a.Z == 0 && b.Z == 0 && c.Z == 0 {
			sum += b.Sub(a).Cross(c.Sub(a)).Len() / 2
		}
	}
	return sum
}

// openEdges counts the edges with one triangle, and the sets they form when
// joined at their ends.
func openEdges(m *mesh.Mesh) (edges, loops int) {
	n := map[[2]int32]int{}
	for _, t := range m.Triangles() {
		for k := range 3 {
			n[[2]int32{min(t[k], t[(k+1)%3]), max(t[k], t[(k+1)%3])}]++
		}
	}
	next := map[int32][]int32{}
	for e, k := range n {
		if k == 1 {
			edges++
			next[e[0]] = append(next[e[0]], e[1])
			next[e[1]] = append(next[e[1]], e[0])
		}
	}
	seen := map[int32]bool{}
	for v := range next {
		if seen[v] {
			continue
		}
		loops++
		todo := []int32{v}
		seen[v] = true
		for len(todo) > 0 {
			w := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, x := range next[w] {
				if !seen[x] {
					seen[x] = true
					todo = append(todo, x)
				}
			}
		}
	}
	return edges, loops
}

// readme says what is known of each file.
func readme(ps []pattern) []byte {
	var b strings.Builder
	b.WriteString("# Sample patterns\n\n" + scenario + "\n\n")
	b.WriteString("All of it is invented, and every file is made by `go test ./mesh/shape/gen -update`,\n" +
		"which gives the same bytes each time (a test compares them). The files are ours and\n" +
		"under the licence of this repository (MIT). Coordinates are millimetres, as singles.\n")
	for _, p := range ps {
		fmt.Fprintf(&b, "\n## %s\n%s.\n\n- Origin: %s.\n- Defect: %s.\n", p.name, upperFirst(p.what), p.origin, p.defect)
		for _, f := range p.figures {
			fmt.Fprintf(&b, "- %s.\n", upperFirst(f))
		}
	}
	return []byte(b.String())
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
