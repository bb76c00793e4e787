package picture

import (
	"image/color"
	"math"
)

// rgb is a color in linear light, 0 to 1.
type rgb struct{ r, g, b float64 }

// encoded is the color as a screen takes it.
func (a rgb) encoded() color.NRGBA {
	return color.NRGBA{encodeByte(float32(a.r)), encodeByte(float32(a.g)), encodeByte(float32(a.b)), 255}
}

func (a rgb) mul(k float64) rgb { return rgb{a.r * k, a.g * k, a.b * k} }

// mix goes from a to b in linear light.
func (a rgb) mix(b rgb, t float64) rgb {
	return rgb{a.r + (b.r-a.r)*t, a.g + (b.g-a.g)*t, a.b + (b.b-a.b)*t}
}

// decode and encode are the sRGB transfer function (IEC 61966-2-1, recalled).
func decode(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func encode(c float64) float64 {
	switch {
	case c <= 0:
		return 0
	case c >= 1:
		return 1
	case c <= 0.0031308:
		return 12.92 * c
	}
	return 1.055*math.Pow(c, 1/2.4) - 0.055
}

// oklch is a color by perceived lightness, colorfulness and hue in degrees: the
// polar form of Oklab (B. Ottosson, "A perceptual color space for image
// processing", 2020; its matrices, recalled).
type oklch struct{ l, c, h float64 }

func (o oklch) lab() (l, a, b float64) {
	s, c := math.Sincos(o.h * math.Pi / 180)
	return o.l, o.c * c, o.c * s
}

func fromOklab(L, A, B float64) rgb {
	l := L + 0.3963377774*A + 0.2158037573*B
	m := L - 0.1055613458*A - 0.0638541728*B
	s := L - 0.0894841775*A - 1.2914855480*B
	l, m, s = l*l*l, m*m*m, s*s*s
	return rgb{
		4.0767416621*l - 3.3077115913*m + 0.2309699292*s,
		-1.2684380046*l + 2.6097574011*m - 0.3413193965*s,
		-0.0041960863*l - 0.7034186147*m + 1.7076147010*s,
	}
}

// rampStops are where the scale of undercuts passes through: pale clay where
// nothing is undercut, sea green and blue to a deep violet at the far end. The
// lightness falls all the way, so that the order of colors is read whatever
// hues an eye can tell apart, and in a gray copy.
var rampStops = []oklch{
	{0.925, 0.030, 85},
	{0.830, 0.070, 150},
	{0.700, 0.095, 195},
	{0.540, 0.105, 245},
	{0.390, 0.125, 285},
	{0.270, 0.110, 310},
}

const rampSize = 256

// ramp holds the scale in even perceived steps: the stops are joined by a
// smooth curve in Oklab which is then walked at constant speed.
var ramp = buildRamp()

func buildRamp() [rampSize]rgb {
	// Sample the curve finely.
	const fine = 4096
	type lab struct{ l, a, b float64 }
	stop := make([]lab, len(rampStops))
	for i, s := range rampStops {
		stop[i].l, stop[i].a, stop[i].b = s.lab()
	}
	at := func(i int) lab { return stop[min(max(i, 0), len(stop)-1)] }
	pts := make([]lab, fine+1)
	dist := make([]float64, fine+1)
	for k := range pts {
		x := float64(k) / fine * float64(len(stop)-1)
		i := min(int(x), len(stop)-2)
		t := x - float64(i)
		p0, p1, p2, p3 := at(i-1), at(i), at(i+1), at(i+2)
		curve := func(a, b, c, d float64) float64 { // Catmull-Rom
			return b + 0.5*t*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
		}
		pts[k] = lab{curve(p0.l, p1.l, p2.l, p3.l), curve(p0.a, p1.a, p2.a, p3.a), curve(p0.b, p1.b, p2.b, p3.b)}
		if k > 0 {
			q := pts[k-1]
			dist[k] = dist[k-1] + math.Sqrt(sq(pts[k].l-q.l)+sq(pts[k].a-q.a)+sq(pts[k].b-q.b))
		}
	}
	var out [rampSize]rgb
	k := 0
	for i := range out {
		want := dist[fine] * float64(i) / (rampSize - 1)
		for k < fine-1 && dist[k+1] < want {
			k++
		}
		t := 0.0
		if d := dist[k+1] - dist[k]; d > 0 {
			t = min(1, (want-dist[k])/d)
		}
		p, q := pts[k], pts[k+1]
		c := fromOklab(p.l+(q.l-p.l)*t, p.a+(q.a-p.a)*t, p.b+(q.b-p.b)*t)
		out[i] = rgb{min(max(c.r, 0), 1), min(max(c.g, 0), 1), min(max(c.b, 0), 1)}
	}
	return out
}

func sq(x float64) float64 { return x * x }

// rampAt is the color at t, 0 to 1.
func rampAt(t float64) rgb {
	if !(t > 0) {
		return ramp[0]
	}
	if t >= 1 {
		return ramp[rampSize-1]
	}
	x := t * (rampSize - 1)
	i := int(x)
	return ramp[i].mix(ramp[i+1], x-float64(i))
}
