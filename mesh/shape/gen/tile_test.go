package gen

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// The tile: a square with a raised frame round a rosette of two rings of
// petals, flat at the back. It is a height over a grid, so nothing is undercut
// and its draft is that of its slopes.
const (
	tileSide  = 120.0
	tileCells = 120
	tileBack  = 8.0 // thickness of the ground
)

// smooth goes from 0 to 1 between a and b with level ends.
func smooth(a, b, x float64) float64 {
	t := min(max((x-a)/(b-a), 0), 1)
	return t * t * (3 - 2*t)
}

// petal is the height of one petal along +X in its own plane: a leaf with a
// raised rim and a mid-rib, from radius r0 to r1, half as wide as w.
func petal(x, y, r0, r1, w float64) float64 {
	t := (x - r0) / (r1 - r0)
	if t <= 0 || t >= 1 {
		return 0
	}
	half := w * math.Pow(math.Sin(math.Pi*math.Pow(t, 0.8)), 0.75) // outline
	if half <= 0 {
		return 0
	}
	d := math.Abs(y) / half
	if d >= 1 {
		return 0
	}
	body := (1 - d*d) * (0.75 + 0.25*math.Sin(math.Pi*t))
	rib := 0.22 * math.Exp(-y*y/1.6) * smooth(0, 0.15, t) * smooth(1, 0.8, t)
	hollow := 0.28 * math.Exp(-math.Pow((d-0.5)/0.22, 2)) * smooth(0.1, 0.4, t) * smooth(0.98, 0.7, t)
	return max(0, body-hollow+rib)
}

func tileHeight(x, y float64) float64 {
	r, th := math.Hypot(x, y), math.Atan2(y, x)
	h := 0.0 // parts run into each other with a small hollow
	ring := func(n int, turn, r0, r1, w, high float64) {
		step := 2 * math.Pi / float64(n)
		a := math.Remainder(th-turn, step)
		s, c := math.Sincos(a)
		h = -blend(-h, -high*petal(r*c, r*s, r0, r1, w), 0.8)
	}
	ring(8, math.Pi/8, 12, 47, 9.5, 4.2) // outer petals
	ring(8, 0, 8, 34, 7, 6)              // inner petals, over them
	if r < 11 {                          // the boss
		h = -blend(-h, -(7.2*math.Sqrt(1-r*r/121) + 0.5*math.Exp(-r*r/6)), 0.8)
	}
	// The frame: a bevel up, a bead, a fillet, by distance from the edge.
	e := tileSide/2 - max(math.Abs(x), math.Abs(y))
	frame := 5*smooth(0, 1.5, e)*smooth(10, 8.4, e) + 1.3*math.Exp(-math.Pow((e-5)/1.7, 2))
	return tileBack + max(h, frame)
}

// tile returns the surface as quadrangles on top, walls, and a fan below.
func tile() (verts []mesh.Vec, faces [][]int) {
	n := tileCells
	at := func(i, j int) int { return j*(n+1) + i }
	pos := func(i int) float64 { return -tileSide/2 + tileSide*float64(i)/float64(n) }
	for j := 0; j <= n; j++ {
		for i := 0; i <= n; i++ {
			z := tileHeight(pos(i), pos(j))
			verts = append(verts, mesh.Vec{X: pos(i), Y: pos(j), Z: math.Round(z*1000) / 1000})
		}
	}
	for j := range n {
		for i := range n {
			faces = append(faces, []int{at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	// The rim, once round counter-clockwise, top and bottom.
	var rim []int
	for i := range n {
		rim = append(rim, at(i, 0))
	}
	for j := range n {
		rim = append(rim, at(n, j))
	}
	for i := n; i > 0; i-- {
		rim = append(rim, at(i, n))
	}
	for j := n; j > 0; j-- {
		rim = append(rim, at(0, j))
	}
	base := len(verts)
	for _, v := range rim {
		verts = append(verts, mesh.Vec{X: verts[v].X, Y: verts[v].Y})
	}
	center := len(verts)
	verts = append(verts, mesh.Vec{})
	for k := range rim {
		l := (k + 1) % len(rim)
		faces = append(faces, []int{base + k, base + l, rim[l], rim[k]})
		faces = append(faces, []int{center, base + l, base + k})
	}
	return verts, faces
}

// tileMesh is the tile as triangles, quadrangles cut from their first corner.
func tileMesh(verts []mesh.Vec, faces [][]int) *mesh.Mesh {
	var ts [][3]int32
	for _, f := range faces {
		for k := 1; k+1 < len(f); k++ {
			ts = append(ts, [3]int32{int32(f[0]), int32(f[k]), int32(f[k+1])})
		}
	}
	return mesh.New(verts, ts)
}

// archProfile is a small arch: piers, a half-round opening of n chords, and a
// key block on top, drawn in (x, height).
func archProfile(n int) [][2]float64 {
	const half, high, opening, spring = 70, 110, 40, 45
	p := [][2]float64{{opening, 0}, {half, 0}, {half, 8}, {half - 5, 12}, {half - 5, high - 10}, {half, high - 6}, {half, high}, {12, high}, {9, high + 8}, {-9, high + 8}, {-12, high}, {-half, high},
		{-half, high - 6}, {-half + 5, high - 10}, {-half + 5, 12}, {-half, 8}, {-half, 0}, {-opening, 0}}
	for i := 0; i <= n; i++ {
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		p = append(p, [2]float64{-opening * c, spring + opening*s})
	}
	return p
}

const archDepth = 36.0

// arch stands on its piers, 36 mm deep along Y.
func arch() *mesh.Mesh {
	m := shape.Prism(archProfile(48), archDepth)
	return single(shape.Map(m, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: v.X, Y: archDepth/2 - v.Z, Z: v.Y} }))
}
