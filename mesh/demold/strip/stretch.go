package strip

import (
	"context"
	"fmt"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/finding"
	"moldtally/mesh/section"
	"moldtally/mesh/unit"
)

// Stretch is how far a closed ring of rubber must stretch to pass over the
// pattern. Hoop strain is the ratio of perimeters, less one.
type Stretch struct {
	Value       *float64    // nil: the neck is too fine to tell
	At          *[3]float64 // the neck, mm in the file's own axes; nil where nothing stretches
	Neck, Bulge *float64    // perimeters, mm; nil where Value is nil or nothing stretches
	Clay        bool        // the neck is where the pattern meets the board
	Findings    finding.List
}

// comfortable is the stretch that even a hard rubber takes without thinking;
// below it a small mouth is not worth a word. From memory, no source.
const comfortable = 0.15

// roundingStretch is what rounding alone may make of a straight wall.
const roundingStretch = 1e-6

// Stretch finds the worst place. For a mold on a baseboard the pattern leaves
// through the clay line; for two halves each lets go through the parting; a mold
// that is cut open has no closed ring.
func (s *Sections) Stretch(ctx context.Context) (Stretch, error) {
	if s.c.Mold == scene.Cut {
		return Stretch{Value: new(float64)}, nil
	}
	sides, err := s.cut(ctx)
	if err != nil {
		return Stretch{}, err
	}
	var worst strain
	for k, c := range sides {
		w, err := c.stretch(ctx)
		if err != nil {
			return Stretch{}, fmt.Errorf("strip: %w", err)
		}
		if k == 0 || w.null && !worst.null || w.null == worst.null && w.value > worst.value {
			worst = w
		}
	}
	at, clay := worst.at.Array(), s.c.OnBoard() && worst.last
	neck, bulge := unit.Length(worst.neck), unit.Length(worst.bulge)
	if worst.null {
		out := Stretch{At: &at, Clay: clay}
		out.Findings.Add(finding.Finding{Code: CodeNeck, Severity: finding.Stop, At: &at, Facts: Neck{clay, neck, bulge}})
		return out, nil
	}
	if worst.value <= roundingStretch {
		return Stretch{Value: new(float64)}, nil
	}
	out := Stretch{Value: &worst.value, At: &at, Neck: &worst.neck, Bulge: &worst.bulge, Clay: clay}
	if clay && worst.value > comfortable {
		out.Findings.Add(finding.Finding{Code: CodeMouth, Severity: finding.Caution, At: &at, Facts: NarrowMouth{neck, bulge, worst.value}})
	}
	return out, nil
}

// strain is a stretch and where it happens.
type strain struct {
	value       float64
	neck, bulge float64 // perimeters, mm
	at          mesh.Vec
	null        bool // a neck too fine to tell
	last        bool // the neck is the last level of the sweep: the clay line, the parting
}

// finest is the least perimeter of a neck that is trusted: two cells, or 1 %
// of the outline's.
func (c *side) finest() float64 { return max(2*c.fine, 0.01*c.outline) }

// stretch sweeps the sections from the top down to the floor.
func (c *side) stretch(ctx context.Context) (strain, error) {
	levels := slices.Clone(c.sections)
	slices.Reverse(levels)
	s := &sweep{
		levels: levels, t: c.spans, skip: -1,
		node:   c.part,
		finest: c.finest(), least: c.finest(), nudge: c.nudge,
	}
	s.run()
	if d := s.doubt; d.bulge > 0 {
		return strain{null: true, neck: d.neck, bulge: d.bulge, at: c.placeOf(s, d), last: d.level == len(levels)-1}, nil
	}
	worst := s.worst
	if worst.neck == 0 {
		return strain{}, nil
	}
	s.to(worst.level, nil)
	r, err := c.refine(ctx, s, worst)
	if err != nil {
		return strain{}, err
	}
	last := worst.level == len(levels)-1
	if len(r.neckHull) == 0 {
		return strain{value: r.bulge/r.neck - 1, neck: r.neck, bulge: r.bulge, at: c.placeOf(s, worst), last: last}, nil
	}
	p := section.Center(r.neckHull)
	return strain{
		value: r.bulge/r.neck - 1, neck: r.neck, bulge: r.bulge,
		at: c.f.Point(p.X, p.Y, r.neckAt.H), null: r.neck < s.finest, last: last && r.neckAt.H <= c.floor+2*c.Eps,
	}, nil
}

// placeOf is the middle of what hangs together at a pinch's neck, or of what is
// above where nothing is met there.
func (c *side) placeOf(s *sweep, p pinch) mesh.Vec {
	h := s.levels[p.level].H
	m := s.components[s.find(p.id)]
	if m == nil {
		return c.f.Point(0, 0, h)
	}
	k := p.level - m.first
	if k >= len(m.levels) || len(m.levels[k].hull) == 0 {
		k = m.widest - m.first
	}
	q := section.Center(m.levels[k].hull)
	return c.f.Point(q.X, q.Y, h)
}
