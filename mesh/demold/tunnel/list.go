package tunnel

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh/demold/scene"
)

// Judgements about passages.
const (
	// skeletonNodes is the number of cubes along the longest side when tunnels
	// are looked for; where the list comes out short, moreNodes once.
	skeletonNodes, moreNodes = 128, 224
	// few: no more tunnels than that are looked for on the finer cubes, and all
	// along the lines.
	few = 6
	// mostWork bounds the measuring: triangles looked at, and about a hundred
	// for each line of a section. It comes to about a second; what is left by
	// then is counted but not listed.
	mostWork = 80_000_000
	// mostCubes bounds the memory and time of the finer cubes.
	mostCubes = 6_000_000
	// mostListed bounds the list: past it no mold maker cuts webs one by one.
	mostListed = 24
)

// List finds where the tunnels that were counted are, widest first; it may find
// fewer than there are. The error is ctx's.
func List(ctx context.Context, s *scene.Scene, count int) ([]Passage, error) {
	best := []Passage{}
	if count == 0 {
		return best, nil
	}
	again := count <= few
	count = min(count, mostListed)
	sp := spaceOf(s)
	sl := &cutter{space: sp}
	for _, nodes := range [2]int{skeletonNodes, moreNodes} {
		if nodes > skeletonNodes && (!again || sl.work > mostWork) {
			break
		}
		v, err := newCubes(ctx, sp, nodes)
		if err != nil {
			return nil, err
		}
		if len(v.full) > mostCubes && nodes > skeletonNodes {
			break
		}
		if !s.Solid.Embedded() {
			if err := v.close(ctx, closingBall); err != nil {
				return nil, err
			}
		}
		lines, err := v.thin(ctx)
		if err != nil {
			return nil, err
		}
		list, err := sl.leastWebs(ctx, lines, count)
		if err != nil {
			return nil, err
		}
		if len(list) > len(best) {
			best = list
		}
		if len(best) >= count {
			break
		}
	}
	slices.SortStableFunc(best, func(p, q Passage) int {
		return cmp.Or(cmp.Compare(q.Opening, p.Opening), cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	for n := range best {
		best[n].ID = n + 1
	}
	return best, nil
}

// leastWebs measures webs at the loops' narrowest places, and where there are
// several loops all along the lines, for they may run through one room; and
// picks as many as count, of the least area first, so that each closes a
// tunnel more.
func (sl *cutter) leastWebs(ctx context.Context, s *skeleton, count int) ([]Passage, error) {
	found := s.narrowings()
	slices.SortStableFunc(found, func(p, q narrowing) int { return cmp.Compare(q.d2, p.d2) })
	// Walls thinner than a cube leave holes that are none; they are narrow, and
	// no section of the true surface agrees with them.
	found = found[:min(len(found), 2*count+8)]
	webs, missing, err := sl.websAt(ctx, s.cubes, found)
	if err != nil {
		return nil, err
	}
	if len(found) > 1 && count <= few {
		lines := s.places()
		every := max(1, len(lines)/(24*len(found)+24))
		for k := 0; k < len(lines); k += every {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if t, ok, _ := sl.passage(s.cubes, lines[k], webs, false); ok {
				webs = append(webs, t)
			}
		}
	}
	grain := 1e-3 * sl.Size * sl.Size // areas closer than this are one
	slices.SortStableFunc(webs, func(p, q Passage) int {
		return cmp.Or(cmp.Compare(math.Round(*p.WebArea/grain), math.Round(*q.WebArea/grain)), -cmp.Compare(p.At[0], q.At[0]), -cmp.Compare(p.At[1], q.At[1]), -cmp.Compare(p.At[2], q.At[2]))
	})
	closed := newClosed(s.cubes)
	var list []Passage
	take := func(t Passage) {
		if len(list) < count && closed.add(t.web) {
			list = append(list, t)
		}
	}
	for _, t := range webs {
		take(t)
	}
	for k, n := range found {
		if !missing[k] || len(list) == count {
			continue
		}
		if t, ok, _ := sl.passage(s.cubes, n.at[0], list, true); ok {
			take(t)
		} else if d := math.Sqrt(float64(n.at[0].d2)); d >= 2.5 && sl.work <= mostWork {
			c := s.middle(n.at[0].at).Array()
			list = append(list, Passage{Opening: 2 * d * s.grid.Cell, At: c, WebAt: c})
		}
	}
	return list, nil
}

// websAt measures a web at each narrowing, at the first of its places where
// there is one; missing are those without.
func (sl *cutter) websAt(ctx context.Context, v *cubes, found []narrowing) (webs []Passage, missing []bool, err error) {
	missing = make([]bool, len(found))
	for k, n := range found {
		got := false
		for _, p := range n.at {
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
			t, ok, known := sl.passage(v, p, webs, false)
			if ok {
				webs = append(webs, t)
			}
			if got = ok || known; got {
				break
			}
		}
		missing[k] = !got
	}
	return webs, missing, nil
}
