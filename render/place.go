package render

import (
	"math"
	"strings"
)

// View is how the three-quarter picture looks at a pattern: three unit vectors in
// the file's axes, at right angles to each other, and the pattern's bounds along
// them, mm from the file's origin. Up is the mold's, Right and Back lie level.
type View struct {
	Right, Back, Up [3]float64
	Low, High       [3]float64 // along Right, Back and Up
}

// Bands in which a place is told, as shares of the pattern's size along a
// direction. Judgements of this program: a hand that follows the words has to land
// within reach of the eye.
const (
	nearSide = 0.36 // of the width or the depth: from there to the middle it is no side
	flatSide = 0.12 // of the longest size: what is thinner has no front and back to tell apart
)

// heights are where a share of the height stops to be told in these words.
var heights = []struct {
	upTo float64
	say  string
}{
	{0.06, "at the foot"}, {0.18, "near the foot"}, {0.29, "a quarter up"}, {0.415, "a third up"}, {0.585, "half way up"},
	{0.71, "two thirds up"}, {0.82, "three quarters up"}, {0.94, "near the top"}, {math.Inf(1), "at the top"},
}

// share is how far a place lies along a direction, from 0 to 1 within the pattern.
func (v *View) share(p, along [3]float64, k int) float64 {
	d := p[0]*along[0] + p[1]*along[1] + p[2]*along[2] - v.Low[k]
	if size := v.High[k] - v.Low[k]; size > 0 {
		return d / size
	}
	return 0.5
}

// Place tells a place in the file's frame, mm, as somebody sees it who looks at the
// three-quarter picture: "the left, two thirds up, at the back".
func (v *View) Place(p [3]float64) string {
	longest := max(v.High[0]-v.Low[0], v.High[1]-v.Low[1], v.High[2]-v.Low[2])
	thin := func(k int) bool { return v.High[k]-v.Low[k] < flatSide*longest }
	said := []string{"the middle"}
	switch x := v.share(p, v.Right, 0); {
	case thin(0):
	case x < nearSide:
		said[0] = "the left"
	case x > 1-nearSide:
		said[0] = "the right"
	}
	if !thin(2) {
		z := v.share(p, v.Up, 2)
		for _, h := range heights {
			if z < h.upTo {
				said = append(said, h.say)
				break
			}
		}
	}
	switch y := v.share(p, v.Back, 1); {
	case thin(1):
	case y < nearSide:
		said = append(said, "at the front")
	case y > 1-nearSide:
		said = append(said, "at the back")
	}
	return strings.Join(said, ", ")
}

// leans is the sine from which on a direction counts as leaning to a side: 22.5°, half
// way between a side and the edge between two (geometry).
const leans = 0.3827

// Side tells a direction of the file's axes as it is seen in that picture: "left",
// "front right", "top".
func (v *View) Side(d [3]float64) string {
	along := func(a [3]float64) float64 { return d[0]*a[0] + d[1]*a[1] + d[2]*a[2] }
	if up := along(v.Up); math.Abs(up) > 0.7071 {
		return sideName(up, "top", "bottom")
	}
	return strings.TrimSpace(sideName(along(v.Back), "back", "front") + " " + sideName(along(v.Right), "right", "left"))
}

// sideName is the name of the side that a direction leans to, "" where it is neither.
func sideName(c float64, more, less string) string {
	switch {
	case c > leans:
		return more
	case c < -leans:
		return less
	}
	return ""
}
