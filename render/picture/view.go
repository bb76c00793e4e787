package picture

import (
	"context"
	"image"
	"image/color"
	"math"

	"github.com/fogleman/fauxgl"

	"moldtally/mesh"
)

// camera looks at the scene without perspective, so that every view can be
// measured. right, up and toward (to the viewer) are a right-handed frame.
type camera struct {
	right, up, toward mesh.Vec
	center            mesh.Vec // of the scene, at the middle of the view
	scale             float64  // pixels per mm
}

func newCamera(right, up mesh.Vec) camera {
	return camera{right: right, up: up, toward: right.Cross(up)}
}

// orbit looks from an azimuth (from -y towards +x) and an elevation, degrees.
func orbit(azimuth, elevation float64) camera {
	sa, ca := math.Sincos(azimuth * math.Pi / 180)
	se, ce := math.Sincos(elevation * math.Pi / 180)
	toward := mesh.V(sa*ce, -ca*ce, se)
	right := mesh.V(ca, sa, 0)
	return camera{right: right, up: toward.Cross(right), toward: toward}
}

// span is the width and height that a box takes in the view, mm, and the
// point of the box's middle.
func (c *camera) span(lo, hi mesh.Vec) (w, h float64) {
	d := hi.Sub(lo)
	abs := func(a mesh.Vec) float64 {
		return math.Abs(a.X)*d.X + math.Abs(a.Y)*d.Y + math.Abs(a.Z)*d.Z
	}
	return abs(c.right), abs(c.up)
}

// project returns the place of a scene point relative to the view's middle, in
// pixels, y down.
func (c *camera) project(p mesh.Vec) point {
	p = p.Sub(c.center)
	return point{p.Dot(c.right) * c.scale, -p.Dot(c.up) * c.scale}
}

// samples is how many samples a pixel has along each side.
const samples = 2

// view is one camera's picture, in samples.
type view struct {
	camera
	sc    *scene
	w, h  int // in samples
	depth []float64
	dc    *fauxgl.Context
	path  []float32 // mm at each sample; unseen where nothing is
	reach float64   // half the depth range, mm
}

// unseen marks a sample without a pattern.
const unseen = -1

// newView prepares a view of w by h pixels.
func newView(sc *scene, cam camera, w, h int) *view {
	lo, hi := sc.extent()
	v := &view{camera: cam, sc: sc, w: w * samples, h: h * samples}
	v.camera.scale *= samples
	v.dc = fauxgl.NewContext(v.w, v.h)
	v.dc.Cull = fauxgl.CullNone
	v.dc.AlphaBlend = false
	v.depth = v.dc.DepthBuffer
	v.path = make([]float32, v.w*v.h)
	for i := range v.path {
		v.path[i] = unseen
	}
	v.reach = hi.Sub(lo).Len() + 1
	return v
}

// screen is a scene point in samples, with its depth as the rasteriser keeps
// it: from 0 near the viewer to 1.
func (v *view) screen(p mesh.Vec) (x, y, z float64) {
	q := v.project(p)
	return q.x + float64(v.w)/2, q.y + float64(v.h)/2, 0.5 - p.Sub(v.center).Dot(v.toward)/(2*v.reach)
}

// The scene's light: from over the viewer's left shoulder, with a soft fill,
// so gentle that a color still matches the legend.
const (
	ambient   = 0.66
	keyLight  = 0.36
	rimShadow = 0.10
)

// shader colors the pattern. It draws one view on one goroutine.
type shader struct {
	v   *view
	key mesh.Vec
}

func (s *shader) Vertex(x fauxgl.Vertex) fauxgl.Vertex { return x }

// Texture of a vertex: X its path (mm), Y how locked it is, Z 1 on a patch.
func (s *shader) Fragment(x fauxgl.Vertex) fauxgl.Color {
	v := s.v
	if !(math.Abs(x.Output.X) <= 1 && math.Abs(x.Output.Y) <= 1) { // NaN included
		return fauxgl.Discard
	}
	px := int((x.Output.X + 1) / 2 * float64(v.w))
	py := int((1 - x.Output.Y) / 2 * float64(v.h))
	i := py*v.w + px
	if i < 0 || i >= len(v.path) {
		return fauxgl.Discard
	}
	n := mesh.V(x.Normal.X, x.Normal.Y, x.Normal.Z)
	face := n.Dot(v.toward)
	if face < 0 {
		n, face = n.Neg(), -face
	}
	light := ambient + keyLight*max(0, n.Dot(s.key)) - rimShadow*sq(1-face)
	locked, patch := x.Texture.Y > 0.5, x.Texture.Z > 0.5
	c := neutral
	depth := x.Texture.X
	switch {
	case v.sc.path == nil:
		depth = 0
	case locked:
		// Stripes, so that it is told from the scale by form as well.
		c = lockedTint
		if stripe(px+py, 14) {
			c = lockedDark
		}
		depth = v.sc.top * 1.5
	default:
		c = rampAt(depth / v.sc.top)
	}
	if patch {
		c = c.mix(patchTint, 0.35)
		if stripe(px-py, 12) {
			c = c.mul(0.62)
		}
	}
	v.path[i] = float32(depth)
	return fauxgl.Color{R: level(c.r * light), G: level(c.g * light), B: level(c.b * light), A: 1}
}

// level is a linear value as the sRGB level that the rasteriser, which cuts off
// what is past the point, turns into the right byte.
func level(x float64) float64 { return (float64(encodeByte(float32(x))) + 0.5) / 255 }

// stripe is true on a third of a period, in samples.
func stripe(x, period int) bool {
	x %= period
	if x < 0 {
		x += period
	}
	return 3*x < period
}

// Colors of the pattern beside the scale.
var (
	neutral    = oklchColor(0.88, 0.012, 85)
	lockedTint = oklchColor(0.66, 0.185, 38)
	lockedDark = oklchColor(0.47, 0.155, 30)
	patchTint  = oklchColor(0.80, 0.045, 320)
)

func oklchColor(l, c, h float64) rgb {
	x := fromOklab(oklch{l, c, h}.lab())
	return rgb{min(max(x.r, 0), 1), min(max(x.g, 0), 1), min(max(x.b, 0), 1)}
}

// crease is the cosine of the angle between a face and the mean of its
// neighbours past which the face is shown flat: about 37°.
const crease = 0.8

// pattern draws the pattern.
func (v *view) pattern(ctx context.Context) error {
	sc := v.sc
	s := &shader{v: v, key: v.right.Mul(-0.45).Add(v.up.Mul(0.62)).Add(v.toward.Mul(0.64)).Unit()}
	v.dc.Shader = s
	verts := sc.surface.Vertices()
	var tri fauxgl.Triangle
	corners := [3]*fauxgl.Vertex{&tri.V1, &tri.V2, &tri.V3}
	halfW, halfH := float64(v.w)/2, float64(v.h)/2
	for t, idx := range sc.surface.Triangles() {
		if err := cancelled(ctx, t); err != nil {
			return err
		}
		if !sc.live(t) {
			continue
		}
		var p [3]mesh.Vec
		var x, y, z [3]float64
		for k, i := range idx {
			p[k] = sc.at(verts[i])
			x[k], y[k], z[k] = v.screen(p[k])
		}
		// Most triangles of a fine scan fall between the samples.
		if math.Ceil(min(x[0], x[1], x[2])-0.5) > max(x[0], x[1], x[2])-0.5 ||
			math.Ceil(min(y[0], y[1], y[2])-0.5) > max(y[0], y[1], y[2])-0.5 {
			continue
		}
		if onEdge(x, y) {
			continue
		}
		n := p[1].Sub(p[0]).Cross(p[2].Sub(p[0]))
		l := n.Len()
		if l == 0 {
			continue
		}
		n = n.Mul(1 / l)
		patch := 0.0
		if sc.patch(t) {
			patch = 1
		}
		for k, i := range idx {
			c := corners[k]
			m := sc.normals[i]
			c.Normal = fauxgl.Vector{X: float64(m[0]), Y: float64(m[1]), Z: float64(m[2])}
			if c.Normal.X*n.X+c.Normal.Y*n.Y+c.Normal.Z*n.Z < crease {
				c.Normal = fauxgl.Vector{X: n.X, Y: n.Y, Z: n.Z}
			}
			c.Texture = fauxgl.Vector{Z: patch}
			if sc.path != nil {
				if d := float64(sc.path[i]); math.IsInf(d, 1) {
					c.Texture.X, c.Texture.Y = sc.top, 1
				} else {
					c.Texture.X = d
				}
			}
			c.Output = fauxgl.VectorW{X: x[k]/halfW - 1, Y: 1 - y[k]/halfH, Z: 2*z[k] - 1, W: 1}
		}
		v.dc.DrawTriangle(&tri)
	}
	return nil
}

// onEdge reports whether a triangle has no area in the view (a wall seen from
// straight above): the rasteriser divides by it.
func onEdge(x, y [3]float64) bool {
	return math.Abs((x[1]-x[0])*(y[2]-y[0])-(x[2]-x[0])*(y[1]-y[0])) < 1e-7
}

// contours darkens the lines on the surface where the path passes a mark of
// the legend, and the outline where the pattern ends.
func (v *view) contours() {
	if v.sc.path == nil {
		return
	}
	step := float32(v.sc.step)
	band := func(p float32) int {
		if p == unseen {
			return unseen
		}
		return int(p / step)
	}
	for y := 0; y+1 < v.h; y++ {
		for x := 0; x+1 < v.w; x++ {
			i := y*v.w + x
			b := band(v.path[i])
			if b == unseen {
				continue
			}
			for _, j := range [2]int{i + 1, i + v.w} {
				if c := band(v.path[j]); c != unseen && c != b && math.Abs(v.depth[i]-v.depth[j])*2*v.reach*v.scale < 6 {
					v.darken(i, 0.80)
					v.darken(j, 0.80)
					break
				}
			}
		}
	}
}

func (v *view) darken(i int, k float64) {
	p := v.dc.ColorBuffer.Pix[4*i : 4*i+3]
	for c := range p {
		p[c] = uint8(float64(p[c])*k + 0.5)
	}
}

// hollows darkens what lies deeper than its surroundings: the depth less its
// mean over a window of so many pixels (T. Luft, C. Colditz, O. Deussen, "Image
// enhancement by unsharp masking the depth buffer", 2006). It makes necks and
// folds read. Only the pattern counts as surroundings, so that it also shades
// the board close to it. The mean is taken per pixel, the shade laid on per
// sample.
func (v *view) hollows(radius int) {
	if radius < 2 {
		return
	}
	w, h := v.w/samples, v.h/samples
	sum, cover := make([]float32, w*h), make([]float32, w*h)
	for y := range v.h {
		for x := range v.w {
			if i := y*v.w + x; v.path[i] != unseen {
				k := y/samples*w + x/samples
				sum[k] += float32(v.depth[i])
				cover[k]++
			}
		}
	}
	tmp := make([]float32, w*h)
	for _, a := range [][]float32{sum, cover} { // twice a box is nearly a bell
		for range 2 {
			boxSum(tmp, a, w, h, radius/2)
			boxSum(a, tmp, h, w, radius/2)
		}
	}
	side := float64(2*(radius/2) + 1)
	full := samples * samples * side * side * side * side // a window all covered
	mm := 2 * v.reach
	soft := float64(radius*samples) / v.scale // mm of a step that shades half
	for y := range v.h {
		for x := range v.w {
			i, k := y*v.w+x, y/samples*w+x/samples
			if v.depth[i] > 1 || cover[k] < 1 {
				continue
			}
			if behind := (v.depth[i] - float64(sum[k]/cover[k])) * mm / soft; behind > 0 {
				share := min(1, 2*float64(cover[k])/full)
				v.darken(i, 1-0.36*share*behind/(1+behind))
			}
		}
	}
}

// boxSum sums each row of src over a window that slides, and writes it turned:
// dst is h wide and w high. Twice in a row it sums over a square.
func boxSum(dst, src []float32, w, h, radius int) {
	for y := range h {
		row := src[y*w : (y+1)*w]
		var s float64
		for x := 0; x < min(radius, w); x++ {
			s += float64(row[x])
		}
		for x := range row {
			if x+radius < w {
				s += float64(row[x+radius])
			}
			if x-radius-1 >= 0 {
				s -= float64(row[x-radius-1])
			}
			dst[x*h+y] = float32(s)
		}
	}
}

// tint puts a color over a sample.
func (v *view) tint(i int, c color.NRGBA, a float64) {
	p := v.dc.ColorBuffer.Pix[4*i : 4*i+4 : 4*i+4]
	p[0], p[1], p[2], p[3] = over(p[0], c.R, a), over(p[1], c.G, a), over(p[2], c.B, a), 255
}

// face fills a flat convex polygon of the scene. An opaque one hides what lies
// behind it, a translucent one lets it through.
func (v *view) face(pts []mesh.Vec, c color.NRGBA, alpha float64, opaque bool) {
	n := len(pts)
	x, y, z := make([]float64, n), make([]float64, n), make([]float64, n)
	minY, maxY := math.Inf(1), math.Inf(-1)
	for i, p := range pts {
		x[i], y[i], z[i] = v.screen(p)
		minY, maxY = min(minY, y[i]), max(maxY, y[i])
	}
	// Depth is linear over the view: solve it from the widest three corners.
	var gx, gy, g0, best float64
	for k := 1; k+1 < n; k++ {
		ax, ay, az := x[k]-x[0], y[k]-y[0], z[k]-z[0]
		bx, by, bz := x[k+1]-x[0], y[k+1]-y[0], z[k+1]-z[0]
		if det := ax*by - ay*bx; math.Abs(det) > best {
			best = math.Abs(det)
			gx, gy = (az*by-bz*ay)/det, (ax*bz-bx*az)/det
			g0 = z[0] - gx*x[0] - gy*y[0]
		}
	}
	if best < 1e-6 {
		return // seen on its edge
	}
	y0, y1 := max(int(math.Ceil(minY-0.5)), 0), min(int(math.Floor(maxY-0.5)), v.h-1)
	for row := y0; row <= y1; row++ {
		at := float64(row) + 0.5
		l, r := math.Inf(1), math.Inf(-1)
		for i := range pts {
			j := (i + 1) % n
			if (y[i] <= at) == (y[j] <= at) {
				continue
			}
			cross := x[i] + (x[j]-x[i])*(at-y[i])/(y[j]-y[i])
			l, r = min(l, cross), max(r, cross)
		}
		for col := max(int(math.Ceil(l-0.5)), 0); col <= min(int(math.Floor(r-0.5)), v.w-1); col++ {
			i := row*v.w + col
			d := g0 + gx*(float64(col)+0.5) + gy*at
			if d > v.depth[i] {
				continue
			}
			v.tint(i, c, alpha)
			if opaque {
				v.depth[i] = d
			}
		}
	}
}

// edge draws a line of the scene, width in pixels, hidden by what is in front
// of it. bias lifts it off the surface it lies on, mm.
func (v *view) edge(a, b mesh.Vec, width float64, c color.NRGBA, bias float64) {
	ax, ay, az := v.screen(a)
	bx, by, bz := v.screen(b)
	r := width * samples / 2
	dx, dy := bx-ax, by-ay
	l2 := dx*dx + dy*dy
	x0, x1 := max(int(min(ax, bx)-r-1), 0), min(int(max(ax, bx)+r+1), v.w-1)
	y0, y1 := max(int(min(ay, by)-r-1), 0), min(int(max(ay, by)+r+1), v.h-1)
	lift := bias / (2 * v.reach)
	for row := y0; row <= y1; row++ {
		for col := x0; col <= x1; col++ {
			px, py := float64(col)+0.5-ax, float64(row)+0.5-ay
			t := 0.0
			if l2 > 0 {
				t = min(max((px*dx+py*dy)/l2, 0), 1)
			}
			cover := r + 0.5 - math.Hypot(px-t*dx, py-t*dy)
			if cover <= 0 {
				continue
			}
			i := row*v.w + col
			if az+(bz-az)*t-lift > v.depth[i] {
				continue
			}
			v.tint(i, c, min(1, cover)*float64(c.A)/255)
		}
	}
}

// seen reports whether nothing hides a scene point, give or take slack mm.
func (v *view) seen(p mesh.Vec, slack float64) bool {
	x, y, z := v.screen(p)
	i, j := int(x), int(y)
	if i < 0 || j < 0 || i >= v.w || j >= v.h {
		return true
	}
	return z-slack/(2*v.reach) <= v.depth[j*v.w+i]
}

// linear is decode for bytes.
var linear = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(decode(float64(i) / 255))
	}
	return t
}()

// pixels averages the samples in linear light, by a tent over one and a half
// pixels, which is what keeps slanting edges calm at two samples a side.
func (v *view) pixels() *image.RGBA {
	w, h := v.w/samples, v.h/samples
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	tent := [4]float32{1, 3, 3, 1}
	src := v.dc.ColorBuffer.Pix
	for y := range h {
		for x := range w {
			var r, g, b float32
			for dy := range 4 {
				sy := min(max(samples*y+dy-1, 0), v.h-1)
				var lr, lg, lb float32
				for dx := range 4 {
					sx := min(max(samples*x+dx-1, 0), v.w-1)
					i := 4 * (sy*v.w + sx)
					lr += tent[dx] * linear[src[i]]
					lg += tent[dx] * linear[src[i+1]]
					lb += tent[dx] * linear[src[i+2]]
				}
				r, g, b = r+tent[dy]*lr, g+tent[dy]*lg, b+tent[dy]*lb
			}
			o := out.Pix[y*out.Stride+4*x:]
			o[0], o[1], o[2], o[3] = encodeByte(r/64), encodeByte(g/64), encodeByte(b/64), 255
		}
	}
	return out
}

// encoded is encode in steps of 1/4095.
var encoded = func() (t [4096]uint8) {
	for i := range t {
		t[i] = uint8(255*encode(float64(i)/4095) + 0.5)
	}
	return t
}()

func encodeByte(x float32) uint8 { return encoded[int(min(max(x, 0), 1)*4095+0.5)] }
