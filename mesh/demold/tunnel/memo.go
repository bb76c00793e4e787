package tunnel

import (
	"context"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
)

// Memo keeps what was found of one solid's tunnels, for pulls that are looked at more
// than once: they hang on the pull and the clay, not on the columns. The zero value
// knows nothing; nil never does. It is for one goroutine at a time.
type Memo struct{ found []found }

// found is what is known of one pull.
type found struct {
	up    mesh.Vec
	board bool
	floor float64 // height of the clay line; of no interest without a board

	count  int
	listed bool // list is known
	list   []Passage
}

// of is what is known of a scene's pull; nil = nothing.
func (m *Memo) of(s *scene.Scene) *found {
	if m == nil {
		return nil
	}
	n := slices.IndexFunc(m.found, func(f found) bool {
		return f.up == s.Up && f.board == s.OnBoard() && (!f.board || f.floor == s.ClayLine())
	})
	if n < 0 {
		return nil
	}
	return &m.found[n]
}

// Count is as the function of that name.
func (m *Memo) Count(ctx context.Context, s *scene.Scene) (int, error) {
	if f := m.of(s); f != nil {
		return f.count, nil
	}
	n, err := Count(ctx, s)
	if err == nil && m != nil {
		m.found = append(m.found, found{up: s.Up, board: s.OnBoard(), floor: s.ClayLine(), count: n})
	}
	return n, err
}

// List is as the function of that name, of what Count counts. Roughly is for what is
// only compared: without a board the tunnels are the solid's own, whatever the pull,
// and are measured along one for all of them.
func (m *Memo) List(ctx context.Context, s *scene.Scene, count int, roughly bool) ([]Passage, error) {
	if roughly && m != nil && !s.OnBoard() {
		if f := m.of(s); f != nil {
			one := *s
			one.Up = mesh.V(0, 0, 1)
			if s = &one; m.of(s) == nil {
				m.found = append(m.found, found{up: s.Up, count: f.count})
			}
		}
	}
	f := m.of(s)
	if f == nil {
		return List(ctx, s, count)
	}
	if f.listed {
		return f.list, nil
	}
	var err error
	f.list, err = List(ctx, s, count)
	f.listed = err == nil
	return f.list, err
}
