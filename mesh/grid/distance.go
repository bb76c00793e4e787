package grid

import (
	"context"
	"math"

	"moldtally/mesh/par"
)

// Far is the squared distance where there is no source.
const Far = 1 << 30

// Sources returns what Distance takes: 0 where a mark is as asked, Far
// elsewhere.
func Sources(mark []bool, want bool) []int32 {
	d := make([]int32, len(mark))
	for k, m := range mark {
		if m != want {
			d[k] = Far
		}
	}
	return d
}

// Distance replaces d, 0 at sources and Far elsewhere, by the exact squared
// distance of each node to the nearest source: lower envelopes of parabolas,
// axis by axis (P. F. Felzenszwalb and D. P. Huttenlocher, "Distance Transforms
// of Sampled Functions", Theory of Computing 8 (2012) 415-428, from memory), the
// first axis by counting. No axis may have more than 16384 nodes: then
// crossings of parabolas are told apart by float64.
func Distance(ctx context.Context, n Size, d []int32) error {
	layer := n[0] * n[1]
	var team par.Team[Envelope]
	err := team.Each(ctx, n[2], func(e *Envelope, z int) { e.Plane(d[z*layer:(z+1)*layer], n[0], n[1]) })
	if err != nil || n[2] == 1 {
		return err
	}
	return team.Each(ctx, n[1], func(e *Envelope, y int) {
		e.grow(n[2])
		for x := range n[0] {
			e.line(d[y*n[0]+x:], layer, n[2])
		}
	})
}

// Envelope is scratch for distances; its zero value is ready.
type Envelope struct {
	f    []int32   // the row as it was
	at   []int32   // where the parabolas of the envelope stand
	from []float64 // from where on each of them is the lowest
}

func (e *Envelope) grow(n int) {
	if len(e.f) < n {
		e.f, e.at, e.from = make([]int32, n), make([]int32, n), make([]float64, n+1)
	}
}

// Plane is Distance for one plane, w by h, on the caller's goroutine alone.
func (e *Envelope) Plane(d []int32, w, h int) {
	e.grow(h)
	for y := range h {
		row := d[y*w : (y+1)*w]
		run := int32(Far)
		for x, v := range row {
			if v == 0 {
				run = 0
			} else if run < Far {
				run++
				row[x] = run * run
			}
		}
		run = Far
		for x := w - 1; x >= 0; x-- {
			if row[x] == 0 {
				run = 0
			} else if run < Far {
				run++
				row[x] = min(row[x], run*run)
			}
		}
	}
	if h == 1 {
		return
	}
	for x := range w {
		e.line(d[x:], w, h)
	}
}

// line replaces n values, stride apart, by the lower envelope of the parabolas
// that stand on them.
func (e *Envelope) line(d []int32, stride, n int) {
	f, at, from := e.f[:n], e.at[:n], e.from[:n+1]
	m := -1
	most := int32(0)
	for q := range f {
		h := d[q*stride]
		f[q] = h
		most = max(most, h)
		if h >= Far {
			continue
		}
		x := math.Inf(-1)
		for m >= 0 {
			p := int(at[m])
			x = float64(int(h)-int(f[p])+q*q-p*p) / float64(2*(q-p))
			if x > from[m] {
				break
			}
			m--
			x = math.Inf(-1)
		}
		m++
		at[m], from[m] = int32(q), x
	}
	if m < 0 || most == 0 {
		return // nothing but Far, nothing but sources
	}
	from[m+1] = math.Inf(1)
	m = 0
	for q := range f {
		for from[m+1] < float64(q) {
			m++
		}
		r := int32(q) - at[m]
		d[q*stride] = f[at[m]] + r*r
	}
}
