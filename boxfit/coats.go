package boxfit

import (
	"context"
	"sync"

	"moldtally/mesh"
)

// Coats keeps the coats of one solid that were reckoned, for searches that ask for
// the same again: a coat goes by the thickness, the side that is up and the clay, and
// by nothing else that is asked. The zero value is ready for use, by goroutines too.
type Coats struct {
	mu    sync.Mutex
	known map[coatOf]*coating // looked up, never ranged over
}

// coatOf is what a coat of a solid goes by; lengths mm.
type coatOf struct {
	up    mesh.Vec
	thick float64
	clay  float64
}

// coat is s.coat, from what is known where that is there.
func (k *Coats) coat(ctx context.Context, s *scene, t float64) (*coating, error) {
	if k == nil {
		return s.coat(ctx, t)
	}
	of := coatOf{s.up, t, s.clayHeight}
	k.mu.Lock()
	had := k.known[of]
	k.mu.Unlock()
	if had != nil {
		c := *had
		c.s = s
		return &c, nil
	}
	c, err := s.coat(ctx, t)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.known == nil {
		k.known = map[coatOf]*coating{}
	}
	k.known[of] = c
	return c, nil
}
