// Package disjoint joins things numbered from 0 into sets: union-find.
//
// The root of a set is always its smallest member, so the sets, their roots and
// the order of roots do not depend on the order of the joins.
package disjoint

import "sync/atomic"

// Sets holds for every member one nearer to the root of its set, or itself; no
// link goes to a larger number. It is for one goroutine; the zero value holds
// nothing.
type Sets []int32

// New returns n sets of one member each.
func New(n int) Sets {
	s := make(Sets, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

// Add appends a set of one member and returns that.
func (s *Sets) Add() int32 {
	x := int32(len(*s))
	*s = append(*s, x)
	return x
}

// Find returns the root of x, halving the way there (R. E. Tarjan and J. van
// Leeuwen, "Worst-case analysis of set union algorithms", J. ACM 31 (1984) 245,
// from memory).
func (s Sets) Find(x int32) int32 {
	for s[x] != x {
		s[x] = s[s[x]]
		x = s[x]
	}
	return x
}

// Join unites the sets of x and y and reports whether they were apart.
func (s Sets) Join(x, y int32) bool {
	x, y = s.Find(x), s.Find(y)
	if x == y {
		return false
	}
	s[max(x, y)] = min(x, y)
	return true
}

// Number replaces every member by the number of its set, the sets counted in
// order of their roots, and returns how many there are. After that s holds
// numbers and no sets any more.
func (s Sets) Number() int {
	n := int32(0)
	for x, p := range s {
		if int(p) == x {
			s[x] = n
			n++
		} else {
			s[x] = s[p] // p < x has its number already
		}
	}
	return int(n)
}

// Shared is Sets that several goroutines may join in at once, without waiting
// for each other (R. J. Anderson and H. Woll, "Wait-free parallel algorithms
// for the union-find problem", STOC 1991). Once they are done it may be read as
// Sets.
type Shared Sets

// Find returns the root of x as it is at some moment of the call.
func (s Shared) Find(x int32) int32 {
	for {
		y := atomic.LoadInt32(&s[x])
		if y == x {
			return x
		}
		z := atomic.LoadInt32(&s[y])
		if z == y {
			return y
		}
		atomic.CompareAndSwapInt32(&s[x], y, z)
		x = z
	}
}

// Join unites the sets of x and y.
func (s Shared) Join(x, y int32) {
	for {
		x, y = s.Find(x), s.Find(y)
		if x == y {
			return
		}
		if x > y {
			x, y = y, x
		}
		if atomic.CompareAndSwapInt32(&s[y], y, x) {
			return
		}
	}
}
