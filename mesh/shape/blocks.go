package shape

import (
	"fmt"

	"moldtally/mesh"
)

// Blocks is the body of all cells of a grid that full picks. Grid lines rise
// strictly. The faces of cells are not merged, so no edge ends inside another.
// Two full cells must not meet in an edge or corner alone.
func Blocks(xs, ys, zs []float64, full func(i, j, k int) bool) *mesh.Mesh {
	nx, ny, nz := len(xs)-1, len(ys)-1, len(zs)-1
	is := func(i, j, k int) bool {
		return i >= 0 && j >= 0 && k >= 0 && i < nx && j < ny && k < nz && full(i, j, k)
	}
	at := func(i, j, k int) mesh.Vec { return mesh.Vec{X: xs[i], Y: ys[j], Z: zs[k]} }
	var s soup
	for k := range nz {
		for j := range ny {
			for i := range nx {
				if !is(i, j, k) {
					continue
				}
				if !is(i-1, j, k) {
					s.quad(at(i, j, k), at(i, j, k+1), at(i, j+1, k+1), at(i, j+1, k))
				}
				if !is(i+1, j, k) {
					s.quad(at(i+1, j, k), at(i+1, j+1, k), at(i+1, j+1, k+1), at(i+1, j, k+1))
				}
				if !is(i, j-1, k) {
					s.quad(at(i, j, k), at(i+1, j, k), at(i+1, j, k+1), at(i, j, k+1))
				}
				if !is(i, j+1, k) {
					s.quad(at(i, j+1, k), at(i, j+1, k+1), at(i+1, j+1, k+1), at(i+1, j+1, k))
				}
				if !is(i, j, k-1) {
					s.quad(at(i, j, k), at(i, j+1, k), at(i+1, j+1, k), at(i+1, j, k))
				}
				if !is(i, j, k+1) {
					s.quad(at(i, j, k+1), at(i+1, j, k+1), at(i+1, j+1, k+1), at(i, j+1, k+1))
				}
			}
		}
	}
	return s.mesh()
}

// Box is x by y by z, standing on z = 0 about the Z axis: 12 triangles.
func Box(x, y, z float64) *mesh.Mesh {
	return Blocks([]float64{-x / 2, x / 2}, []float64{-y / 2, y / 2}, []float64{0, z}, func(int, int, int) bool { return true })
}

// Cube is a Box of equal sides.
func Cube(a float64) *mesh.Mesh { return Box(a, a, a) }

// FineBox is a Box whose faces are cut into n by n squares.
func FineBox(x, y, z float64, n int) *mesh.Mesh {
	return Blocks(steps(-x/2, x/2, n), steps(-y/2, y/2, n), steps(0, z, n), func(int, int, int) bool { return true })
}

func steps(lo, hi float64, n int) []float64 {
	s := make([]float64, n+1)
	for i := range s {
		s[i] = lo + (hi-lo)*float64(i)/float64(n)
	}
	s[n] = hi
	return s
}

// CrossHoleCube is a cube on z = 0 with a square blind hole running across the
// pull: it enters the middle of the face x = size/2 and goes depth deep, hole
// by hole wide and high. Volume size³ − hole²·depth; for +Z the path out of
// the hole's end is depth (the straight way sideways through the cube is
// shorter when depth > size/2). depth < size.
func CrossHoleCube(size, hole, depth float64) *mesh.Mesh {
	if !(depth > 0 && depth < size && hole < size) {
		panic(fmt.Sprintf("shape: a hole %v wide and %v deep in a cube of %v", hole, depth, size))
	}
	h := size / 2
	return Blocks([]float64{-h, h - depth, h}, []float64{-h, -hole / 2, hole / 2, h}, []float64{0, h - hole/2, h + hole/2, size},
		func(i, j, k int) bool { return !(i == 1 && j == 1 && k == 1) })
}

// ThroughHoleCube is a cube with a square hole right through it along X.
// Genus 1; one tunnel for +Z. Volume size³ − hole²·size.
func ThroughHoleCube(size, hole float64) *mesh.Mesh {
	h := size / 2
	return Blocks([]float64{-h, h}, []float64{-h, -hole / 2, hole / 2, h}, []float64{0, h - hole/2, h + hole/2, size},
		func(_, j, k int) bool { return !(j == 1 && k == 1) })
}

// Arch is two legs and a lintel: width along X, depth along Y, leg wide, the
// opening open high. Genus 0; standing on the board it makes one tunnel.
// Volume width·depth·height − (width−2·leg)·depth·open.
func Arch(width, depth, height, leg, open float64) *mesh.Mesh {
	w := width / 2
	return Blocks([]float64{-w, leg - w, w - leg, w}, []float64{-depth / 2, depth / 2}, []float64{0, open, height},
		func(i, _, k int) bool { return !(i == 1 && k == 0) })
}

// Table is a square top on four square legs at its corners: size across,
// height high, the top thick, legs leg wide. Genus 0; on the board three
// independent loops. Volume size²·top + 4·leg²·(height−top).
func Table(size, height, top, leg float64) *mesh.Mesh {
	h := size / 2
	g := []float64{-h, leg - h, h - leg, h}
	return Blocks(g, g, []float64{0, height - top, height}, func(i, j, k int) bool { return k == 1 || (i != 1 && j != 1) })
}

// TShape is a post under a beam along X: overhanging on two sides only.
// Volume post²·postH + beam·post·beamH; for +Z the straight depth is limited
// by half the post's width across, the beam hanging over by (beam−post)/2.
func TShape(beam, beamH, post, postH float64) *mesh.Mesh {
	return Blocks([]float64{-beam / 2, -post / 2, post / 2, beam / 2}, []float64{-post / 2, post / 2}, []float64{0, postH, postH + beamH},
		func(i, _, k int) bool { return k == 1 || i == 1 })
}

// Tray is an open box: outside x, y, z with wall and floor t. Volume
// xyz − (x−2t)(y−2t)(z−t).
func Tray(x, y, z, t float64) *mesh.Mesh {
	return Blocks([]float64{-x / 2, t - x/2, x/2 - t, x / 2}, []float64{-y / 2, t - y/2, y/2 - t, y / 2}, []float64{0, t, z},
		func(i, j, k int) bool { return !(i == 1 && j == 1 && k == 1) })
}

// LeaningPost is a square post a by a whose top is moved sideways by lean in
// x: undercut, but no section is larger than another (stretch 0). Volume a²h.
func LeaningPost(a, h, lean float64) *mesh.Mesh { return Shear(Box(a, a, h), lean/h) }
