package mesh

import "context"

// touchingPieces tells which of the small pieces touch another piece.
func touchingPieces(ctx context.Context, m *Mesh, s *Survey, small []int32) ([]bool, error) {
	touch := make([]bool, len(small))
	tol := TouchShare * largest(s.Size)
	for k, i := range small {
		p := &s.Pieces[i]
		for j := range s.Pieces {
			q := &s.Pieces[j]
			if j != int(i) && p.Lo.X <= q.Hi.X+tol && q.Lo.X <= p.Hi.X+tol && p.Lo.Y <= q.Hi.Y+tol && q.Lo.Y <= p.Hi.Y+tol && p.Lo.Z <= q.Hi.Z+tol && q.Lo.Z <= p.Hi.Z+tol {
				touch[k] = true
				break
			}
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	return touch, nil
}
