package render

import (
	"math"

	"moldtally/render/figure"
)

func (w *wording) pose() Section {
	sec := Section{Key: "pose", Title: "How it stands"}
	p := w.plan.Pose
	if p == nil {
		return sec
	}
	sec.add(Row{Label: "Facing up", Value: figure.Direction(p.Up), Note: w.say(p.Reason)})
	step := 0.1
	if p.Height < 10 {
		step = 0.01
	}
	one := func(l float64) figure.Quantity { return figure.Length(l, step) }
	sec.add(
		w.row("Height as it stands", one(p.Height), ""),
		w.row("Rectangle round it", figure.Sizes(p.Rect[:], one), ""),
		w.row("Circle round it", one(p.Circle), ""))
	if math.Abs(p.YawDeg) > 0.05 {
		sec.add(Row{Label: "Turned", Value: figure.Fixed(p.YawDeg, 1), Unit: "°", Note: "its long side from the file's own axis, seen from above"})
	}
	if p.BaseContact > 0 {
		note := figure.Percent(p.BaseContactFraction, 1) + " of its surface stays unmolded"
		sec.add(w.row("Rests on the board", figure.Area(p.BaseContact), note))
	}
	return sec
}
