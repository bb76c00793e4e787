package solid

import (
	"context"

	"moldtally/mesh/arrange"
	"moldtally/mesh/unit"
)

// leastRoom is the share of the displaced volume that a room between pieces takes
// at least to be named: smaller ones are what rounding leaves between faces drawn
// on each other (judgement of this program). columnRoom is the share from which on
// columns have to be told where rooms are: below it no mass that is printed
// changes (judgement of this program).
const (
	leastRoom  = 1e-6
	columnRoom = 1e-3
)

// unite finds what S displaces where the surface meets itself: by its exact
// union, or, where that cannot be had, by columns.
func (s *Solid) unite(ctx context.Context, pairs [][2]int32, sum, invented, voids float64, o Options) error {
	r, err := s.arranged(ctx, pairs, s.wound)
	if err != nil {
		return err
	}
	if r == nil {
		return s.measure(ctx, sum, invented, voids, o)
	}
	v := r.Volume
	if s.nothing(v) {
		return ErrNothing
	}
	s.bound(v, mended*v+invented)
	rooms := 0.0
	for _, x := range r.Rooms {
		if x >= leastRoom*v {
			rooms += x
			s.SealedVoids++
			s.together = true
		}
	}
	voids += rooms
	if rooms >= columnRoom*v {
		if err := s.roomsInColumns(ctx, o); err != nil {
			return err
		}
	}
	s.SealedVoidVolume = unit.Volume(voids)
	s.Material = unit.Volume(v - voids)
	s.Measured = Measured{len(s.Openings) > 0, WayUnion}
	return nil
}

// roomsInColumns finds rooms on a lattice, for Field.
func (s *Solid) roomsInColumns(ctx context.Context, o Options) (err error) {
	across := o.Across
	if across <= 0 {
		across = columnsAcross
	}
	s.pockets, err = s.findPockets(ctx, across)
	if s.pockets != nil && s.pockets.rooms == 0 {
		s.pockets = nil
	}
	return err
}

// arranged is the exact union of what crosses; nil where it cannot be had. pairs
// are the faces that meet wrongly. The error is the ctx's.
func (s *Solid) arranged(ctx context.Context, pairs [][2]int32, wound func(t int) (int, arrange.Way)) (*arrange.Result, error) {
	if pairs == nil {
		return nil, nil // too many
	}
	r, err := arrange.Outer(ctx, s.surface, s.leftOut(), pairs, arrange.Options{Wound: wound})
	if err != nil {
		return nil, ctx.Err()
	}
	return r, nil
}

// wound says how a face bounds its piece.
func (s *Solid) wound(t int) (int, arrange.Way) {
	p := int(s.piece[t])
	switch {
	case s.walls && p == s.pieces-1:
		return p, arrange.Wall
	case s.odd != nil && s.odd[p]:
		return p, arrange.Parity
	case s.Outward(t):
		return p, arrange.As
	}
	return p, arrange.Turned
}
