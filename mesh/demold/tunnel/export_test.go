package tunnel

import (
	"context"

	"moldtally/mesh/demold/scene"
)

// CountClosed is the count that Count falls back on.
func CountClosed(ctx context.Context, s *scene.Scene) (int, error) {
	return countClosed(ctx, spaceOf(s))
}
