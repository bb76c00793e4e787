package shape

import (
	"math"

	"moldtally/mesh"
)

// Caught is the air that a pour catches with a side of a body up, mm³, by
// reasoning.
type Caught struct {
	Up  mesh.Vec
	Air float64
}

// Made is a body whose pours are known by reasoning. Nothing of it is clay, and
// nothing is noise.
type Made struct {
	Name string
	Mesh *mesh.Mesh
	// Rubber is poured over the body on a board with Up up; what the board shuts
	// in is no rubber.
	Rubber []Caught
	// Block is the casting of a block mold that was poured with Up up: it is cast
	// the other way up, through all that stood on the board.
	Block []Caught
	// Closed is the casting of a mold that is shut all round but for its one
	// sprue, cast with Up up.
	Closed []Caught
	// Pull is that of a mold in two halves, and Stands are the sides that may be
	// up while it is cast; none: it was not reasoned about.
	Pull   mesh.Vec
	Stands []mesh.Vec
}

// Directions of the made bodies.
var (
	px, nx = mesh.V(1, 0, 0), mesh.V(-1, 0, 0)
	py, ny = mesh.V(0, 1, 0), mesh.V(0, -1, 0)
	pz, nz = mesh.V(0, 0, 1), mesh.V(0, 0, -1)
)

// MadeBodies are cups, mushrooms, arches, tables, dumbbells, air locks, bells and
// dents.
func MadeBodies() []Made {
	out := append(cups(), tables()...)
	out = append(out, dumbbells()...)
	out = append(out, airLocks()...)
	return append(out, dents()...)
}

// none is no air with each of the sides up.
func none(ups ...mesh.Vec) (out []Caught) {
	for _, u := range ups {
		out = append(out, Caught{u, 0})
	}
	return out
}

func cups() []Made {
	const n = 96
	rz := func(r, z float64) RZ { return RZ{R: r, Z: z} }
	area := func(r float64) float64 { return NgonArea(r, n) }
	umbrella := Revolve([]RZ{rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)}, n)
	goblet := Revolve([]RZ{rz(0, 0), rz(20, 0), rz(20, 6), rz(5, 6), rz(5, 40), rz(30, 40), rz(30, 70), rz(26, 70), rz(26, 44), rz(0, 44)}, n)
	reel := Revolve([]RZ{rz(0, 0), rz(20, 0), rz(20, 8), rz(6, 8), rz(6, 42), rz(20, 42), rz(20, 50), rz(0, 50)}, n)
	return []Made{
		{Name: "cube", Mesh: Cube(40), Rubber: none(pz, nx), Block: none(pz, nx), Closed: none(pz, nx, py), Pull: py, Stands: []mesh.Vec{nz}},
		{Name: "cup", Mesh: Tray(50, 40, 30, 5), Rubber: none(pz, nz), Block: none(pz, nz),
			// Mouth up its rim is one ring; on its side all of it rises to the wall that
			// is up.
			Closed: none(pz, nz, px)},
		{Name: "mushroom", Mesh: Mushroom(30, 10, 10, 40, n), Rubber: none(pz, nz), Block: none(pz, nz),
			Closed: none(pz, nz)},
		{Name: "umbrella", Mesh: umbrella,
			Rubber: []Caught{{pz, 20 * (area(25) - area(5))}, {nz, 0}},
			Block:  []Caught{{pz, 20 * (area(30) - area(25))}, {nz, 0}},
			// The skirt's rim, turned up, or the stem's end: the stem is higher by 20.
			Closed: []Caught{{pz, 0}, {nz, 20 * (area(30) - area(25))}}},
		{Name: "goblet", Mesh: goblet, Rubber: none(pz, nz), Block: none(pz),
			// On its rim the board shuts the bowl; the casting then has the whole rim
			// for a mouth.
			Closed: none(pz, nz), Pull: py, Stands: []mesh.Vec{nz}},
		{Name: "reel", Mesh: reel, Rubber: none(pz), Block: none(pz),
			// On its side each flange stands over the axle, and one of them has the sprue.
			Closed: append(none(pz, nz), Caught{px, 8 * (area(20)/2 - segmentBelow(20, 6))}),
			Pull:   py, Stands: []mesh.Vec{nz}},
		{Name: "cone", Mesh: Cone(20, 50, n), Rubber: none(pz), Block: none(pz), Closed: none(pz, nz), Pull: px, Stands: []mesh.Vec{nz}},
	}
}

// segmentBelow is the area of half a disc of radius r up to the height h over its
// middle.
func segmentBelow(r, h float64) float64 {
	return float64(h*math.Sqrt(r*r-h*h)) + r*r*math.Asin(h/r)
}

// legged is a square top on four legs at its corners, of the lengths given.
func legged(size, top, leg float64, lengths [4]float64) *mesh.Mesh {
	zs := []float64{0}
	longest := 0.0
	for _, l := range lengths {
		longest = max(longest, l)
	}
	for z := 1.0; z <= longest+top; z++ {
		zs = append(zs, z)
	}
	edge := []float64{0, leg, size - leg, size}
	return Blocks(edge, edge, zs, func(i, j, k int) bool {
		if zs[k] >= longest {
			return true
		}
		if i == 1 || j == 1 {
			return false
		}
		return zs[k] >= longest-lengths[i/2+j/2*2]
	})
}

func tables() []Made {
	even := legged(60, 8, 10, [4]float64{32, 32, 32, 32})
	one := legged(60, 8, 10, [4]float64{32, 27, 32, 32})
	two := legged(60, 8, 10, [4]float64{32, 24, 24, 32})
	all := legged(60, 8, 10, [4]float64{36, 30, 24, 18})
	// Knobs at the ends of the legs stand over them whichever edge is up.
	knobbed := Blocks([]float64{0, 5, 15, 20, 60, 65, 75, 80}, []float64{0, 5, 15, 20, 60, 65, 75, 80}, []float64{0, 10, 32, 40}, func(i, j, k int) bool {
		in := func(a int) bool { return a < 3 || a > 3 }
		leg := func(a int) bool { return a == 1 || a == 5 }
		switch k {
		case 0:
			return in(i) && in(j)
		case 1:
			return leg(i) && leg(j)
		}
		return true
	})
	return []Made{
		{Name: "table", Mesh: even, Rubber: none(pz, nz, px), Block: none(pz, nz), Closed: []Caught{{pz, 0}, {nz, 3 * 100 * 32}, {px, 0}, {ny, 0}}, Pull: pz, Stands: []mesh.Vec{px, nx, py, ny}},
		{Name: "table, a leg short", Mesh: one, Rubber: none(pz, nz), Block: []Caught{{pz, 100 * 27}, {nz, 0}}, Closed: []Caught{{pz, 0}, {nz, 100 * (32 + 32 + 27)}, {px, 0}}},
		{Name: "table, two legs short", Mesh: two, Rubber: none(pz, nz), Block: []Caught{{pz, 2 * 100 * 24}, {nz, 0}}, Closed: []Caught{{pz, 0}, {nz, 100 * (32 + 24 + 24)}, {py, 0}}},
		{Name: "table, no leg like another", Mesh: all, Rubber: none(pz, nz), Block: []Caught{{pz, 100 * (30 + 24 + 18)}, {nz, 0}}, Closed: []Caught{{pz, 0}, {nz, 100 * (30 + 24 + 18)}, {px, 0}}},
		{Name: "table with knobs", Mesh: knobbed, Rubber: none(pz, nz), Block: none(pz, nz),
			// Of an edge that is up the two upper knobs reach as high as the top does,
			// but apart from it; the lower ones stand 5 over their legs.
			Closed: []Caught{{pz, 0}, {nz, 3 * (20*20*10 + 100*22)}, {px, 4 * 20 * 10 * 5}},
			Pull:   py, Stands: []mesh.Vec{pz}},
		{Name: "arch", Mesh: Arch(60, 20, 50, 15, 35), Rubber: none(pz, nz, px), Block: none(pz, nz, px), Closed: []Caught{{pz, 0}, {nz, 15 * 20 * 35}, {px, 0}, {py, 0}}, Pull: py, Stands: []mesh.Vec{pz, px, nx}},
		{Name: "beam on a post", Mesh: TShape(60, 12, 10, 30), Rubber: none(pz, nz), Block: none(pz, nz), Closed: none(pz, nz, px), Pull: py, Stands: []mesh.Vec{nz}},
		{Name: "hook", Mesh: Hook(10, 40, 60, 20, 12), Rubber: none(pz, nz), Block: []Caught{{pz, 10 * 20 * 12}, {nz, 0}}, Closed: []Caught{{pz, 0}, {nz, 10 * 20 * 12}}},
	}
}

func dumbbells() []Made {
	// Two ends 20 by 20 and 60 high, a bar between them half way up.
	ends := func(left, right float64) *mesh.Mesh {
		return Blocks([]float64{0, 20, 60, 80}, []float64{0, 20}, []float64{0, 20, 40, min(left, right), max(left, right) + 1e-9}, func(i, j, k int) bool {
			return i == 1 && k == 1 || i == 0 && (k < 3 || left > right) || i == 2 && (k < 3 || right > left)
		})
	}
	// A bar 10 thick, its ends cubes of 20.
	grid := []float64{0, 5, 15, 20}
	bar := Blocks([]float64{0, 20, 60, 80}, grid, grid, func(i, j, k int) bool { return i != 1 || j == 1 && k == 1 })
	knob := func(a int) bool { return a == 0 || a == 6 }
	mid := func(a int) bool { return a >= 2 && a <= 4 }
	line := []float64{0, 20, 40, 45, 55, 60, 80, 100}
	cross := func(i, j, k int) bool { // knobs of 20 on arms of 10, all six ways
		arm := func(a, b, c int) bool { return b == 3 && c == 3 && a >= 1 && a <= 5 || knob(a) && mid(b) && mid(c) }
		return arm(i, j, k) || arm(j, i, k) || arm(k, i, j)
	}
	jack := Blocks(line, line, line, cross)
	plain := Blocks([]float64{0, 30, 40, 70}, []float64{0, 30, 40, 70}, []float64{0, 30, 40, 70}, func(i, j, k int) bool {
		n := 0
		for _, a := range [...]int{i, j, k} {
			if a == 1 {
				n++
			}
		}
		return n >= 2
	})
	return []Made{
		{Name: "dumbbell", Mesh: ends(60, 60+1e-9), Rubber: none(pz), Block: none(pz), Closed: []Caught{{pz, 20 * 20 * 20}, {nz, 20 * 20 * 20}, {px, 0}, {py, 0}}, Pull: py, Stands: []mesh.Vec{px, nx}},
		{Name: "dumbbell, one end higher", Mesh: ends(80, 60), Rubber: none(pz), Block: none(pz), Closed: []Caught{{pz, 20 * 20 * 20}, {nz, 20 * 20 * 20}, {px, 0}}},
		{Name: "dumbbell on a thin bar", Mesh: bar, Rubber: none(pz, px), Block: none(pz), Closed: []Caught{{pz, 20 * 20 * 5}, {ny, 20 * 20 * 5}, {px, 0}, {nx, 0}}, Pull: pz, Stands: []mesh.Vec{px, nx}},
		{Name: "six arms", Mesh: plain, Rubber: none(pz), Block: none(pz), Closed: none(pz, nx, py)},
		{Name: "six arms with knobs", Mesh: jack, Rubber: none(pz), Block: []Caught{{pz, 4 * 20 * 20 * 5}}, Closed: []Caught{{pz, 4 * 20 * 20 * 5}, {nx, 4 * 20 * 20 * 5}}},
		{Name: "two prongs", Mesh: Blocks([]float64{0, 10, 40, 50}, []float64{0, 10}, []float64{0, 10, 50}, func(i, j, k int) bool { return k == 0 || i != 1 }),
			Rubber: none(pz, nz), Block: none(pz, nz), Closed: []Caught{{pz, 10 * 10 * 40}, {nz, 0}, {px, 0}}, Pull: py, Stands: []mesh.Vec{nz, px, nx}},
		{Name: "comb", Mesh: Blocks([]float64{0, 6, 12, 18, 24, 30, 36, 42}, []float64{0, 8}, []float64{0, 10, 30}, func(i, j, k int) bool { return k == 0 || i%2 == 0 }),
			Rubber: none(pz, nz), Block: none(pz, nz), Closed: []Caught{{pz, 3 * 6 * 8 * 20}, {nz, 0}, {px, 0}}, Pull: py, Stands: []mesh.Vec{nz, px, nx}},
		{Name: "stairs", Mesh: Blocks([]float64{0, 15, 30, 45}, []float64{0, 20}, []float64{0, 10, 20, 30}, func(i, j, k int) bool { return k <= i }),
			Rubber: none(pz, nz), Block: none(pz), Closed: none(pz, nz, px, nx, py)},
	}
}

func airLocks() []Made {
	// A pipe of 10 by 10 that goes down, along, up to 60, along and down again: what
	// is beyond the first bend is shut off as soon as that is full.
	snake := Blocks([]float64{0, 10, 20, 30, 40, 50}, []float64{0, 10}, []float64{0, 10, 20, 50, 60, 80}, func(i, j, k int) bool {
		switch i {
		case 0:
			return true
		case 1:
			return k == 0
		case 2:
			return k <= 3
		case 3:
			return k == 3
		}
		return k >= 1 && k <= 3
	})
	// The same as a hole in a block, in at the side, up and down again.
	hole := Blocks([]float64{0, 20, 30, 40, 50, 60, 80}, []float64{0, 15, 25, 40}, []float64{0, 10, 20, 30, 50, 60, 70}, func(i, j, k int) bool {
		if j != 1 {
			return true
		}
		switch i {
		case 0, 1:
			return k != 1
		case 2:
			return k < 1 || k > 4
		case 3:
			return k != 4
		case 4:
			return k < 2 || k > 4
		}
		return true
	})
	// A ring of blocks on edge: two uprights, joined below and above.
	ring := Blocks([]float64{0, 10, 40, 50}, []float64{0, 10}, []float64{0, 10, 40, 50}, func(i, j, k int) bool { return i != 1 || k != 1 })
	// Uprights joined below and, lower than they reach, above: the left is higher.
	loop := Blocks([]float64{0, 10, 40, 50}, []float64{0, 10}, []float64{0, 10, 30, 40, 60, 80}, func(i, j, k int) bool {
		switch i {
		case 0:
			return true
		case 1:
			return k == 0 || k == 2
		}
		return k <= 3
	})
	return []Made{
		{Name: "snake", Mesh: snake, Rubber: none(pz),
			Closed: []Caught{{pz, 10 * 10 * (50 + 10 + 50)}}},
		{Name: "bent hole", Mesh: hole, Rubber: []Caught{{pz, 10 * 10 * (40 + 10 + 40)}}, Block: none(pz), Closed: none(pz, nz)},
		{Name: "ring on edge", Mesh: ring, Rubber: none(pz), Block: none(pz), Closed: none(pz, nz, px), Pull: py, Stands: []mesh.Vec{nz}},
		{Name: "ring lying", Mesh: SquareRing(10, 20, 8, 96), Rubber: none(pz), Block: none(pz), Closed: none(pz)},
		{Name: "loop with a horn", Mesh: loop, Rubber: none(pz), Block: none(pz), Closed: []Caught{{pz, 10 * 10 * 20}}},
		{Name: "blind cross hole", Mesh: CrossHoleCube(60, 12, 40), Rubber: none(pz), Block: none(pz), Closed: none(pz, nz)},
		{Name: "through hole", Mesh: ThroughHoleCube(60, 12), Rubber: none(pz), Block: none(pz), Closed: none(pz, px)},
	}
}

func dents() []Made {
	const n = 96
	dent := func(in func(i, j, k int) bool) *mesh.Mesh { // in a block of 60 by 60 by 40
		return Blocks([]float64{0, 20, 40, 60}, []float64{0, 20, 40, 60}, []float64{0, 15, 25, 40}, func(i, j, k int) bool { return !in(i, j, k) })
	}
	// A hole in the side that goes on upward, or downward, within.
	bend := func(up bool) *mesh.Mesh {
		return Blocks([]float64{0, 20, 40, 60}, []float64{0, 20, 40, 60}, []float64{0, 8, 18, 28, 40}, func(i, j, k int) bool {
			if j != 1 {
				return true
			}
			at := 1
			if !up {
				at = 2
			}
			return !(k == at && (i == 0 || i == 1) || i == 1 && (up && k == 2 || !up && k == 1))
		})
	}
	roof := Blocks([]float64{0, 20, 25, 35, 40, 60}, []float64{0, 20, 25, 35, 40, 60}, []float64{0, 30, 38, 50}, func(i, j, k int) bool {
		switch k {
		case 0:
			return i >= 1 && i <= 3 && j >= 1 && j <= 3
		case 1: // a dent in the underside, beside the post
			return !(i == 0 && j >= 1 && j <= 3)
		}
		return true
	})
	bell := Revolve([]RZ{{R: 0, Z: 0}, {R: 4, Z: 0}, {R: 4, Z: 40}, {R: 20, Z: 24}, {R: 24, Z: 24}, {R: 24, Z: 26}, {R: 0, Z: 50}}, n)
	return []Made{
		{Name: "dent above", Mesh: dent(func(i, j, k int) bool { return i == 1 && j == 1 && k == 2 }), Rubber: none(pz), Block: none(pz), Closed: []Caught{{pz, 0}, {nz, 0}, {px, 0}}},
		{Name: "dent below", Mesh: dent(func(i, j, k int) bool { return i == 1 && j == 1 && k == 0 }), Rubber: none(pz, nz), Block: none(pz), Closed: none(pz, nz)},
		{Name: "dent in the side", Mesh: dent(func(i, j, k int) bool { return i == 0 && j == 1 && k == 1 }), Rubber: none(pz, nz), Block: none(pz), Closed: none(pz, px, nx)},
		{Name: "dent that goes up", Mesh: bend(true), Rubber: []Caught{{pz, 20 * 20 * 10}, {nz, 0}}, Block: none(pz), Closed: none(pz, nz)},
		{Name: "dent that goes down", Mesh: bend(false), Rubber: []Caught{{pz, 0}, {nz, 20 * 20 * 10}}, Block: none(pz), Closed: none(pz, nz)},
		{Name: "dent in a roof", Mesh: roof, Rubber: []Caught{{pz, 0}}, Block: none(pz), Closed: none(pz)},
		{Name: "bell", Mesh: bell, Rubber: []Caught{{pz, coneRing(4, 20, 16)}}, Closed: none(pz)},
	}
}

// coneRing is the volume under a cone that falls by h from radius r to radius R,
// less a stem of radius r.
func coneRing(r, R, h float64) float64 {
	return math.Pi*h*(R*R+R*r+r*r)/3 - math.Pi*r*r*h
}
