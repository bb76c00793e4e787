// Package grid works on lattices: boxes of nodes that lie evenly along x, y and
// z, where a plane is a lattice one node high. It finds distances, connected
// parts, what a flood reaches, how many tunnels a body has, and the lines that
// a space thins to.
//
// Lengths are in steps of the lattice. All outcomes are whole numbers or marks,
// the same on any number of cores. What takes a ctx looks at it once a layer at
// least and returns its bare error; what is marked by then is half done.
//
// Marks and numbers of nodes lie in slices as long as Size.Total, which is to
// fit an int32.
package grid

// Size is the number of nodes along x, y and z.
type Size [3]int

// Total is the number of nodes.
func (n Size) Total() int { return n[0] * n[1] * n[2] }

// At is the number of the node at (x, y, z): x runs fastest, then y.
func (n Size) At(x, y, z int) int { return (z*n[1]+y)*n[0] + x }

// Node is where node k lies.
func (n Size) Node(k int) [3]int { return [3]int{k % n[0], k / n[0] % n[1], k / (n[0] * n[1])} }

// Step is how far apart the numbers of neighbours along an axis are.
func (n Size) Step(axis int) int { return [3]int{1, n[0], n[0] * n[1]}[axis] }

// OnRim reports whether a node is the first or the last along some axis.
func (n Size) OnRim(p [3]int) bool {
	return p[0] == 0 || p[1] == 0 || p[2] == 0 || p[0] == n[0]-1 || p[1] == n[1]-1 || p[2] == n[2]-1
}
