package render

import (
	"bytes"
	"strings"
	"testing"

	"moldtally/render/drawing"
)

// On paper a hundred millimetres are 283.46 points, on a page as large as it says.
func TestDrawingPDF(t *testing.T) {
	d := &drawing.Drawing{Title: "it.stl", Width: 210, Height: 297, Pages: []drawing.Page{{}, {}}}
	for i := range d.Pages {
		f := &d.Pages[i].Figure
		f.Lines = []drawing.Line{
			{Points: []drawing.Point{{X: 10, Y: 285}, {X: 110, Y: 285}}},
			{Points: []drawing.Point{{X: 20, Y: 20}, {X: 40, Y: 20}, {X: 40, Y: 60}}, Closed: true, Pen: drawing.Dashed},
		}
		f.Circles = []drawing.Circle{{Center: drawing.Point{X: 100, Y: 100}, Radius: 50, Pen: drawing.Thin}}
		f.Texts = []drawing.Text{{At: drawing.Point{X: 50, Y: 50}, Words: "upright ø", Size: 3, Upright: true, Align: drawing.Center}}
		f.Dims = []drawing.Dimension{{From: drawing.Point{X: 20, Y: 200}, To: drawing.Point{X: 60, Y: 200}, Off: 5, Words: "40"}}
	}
	write := func() []byte {
		var b bytes.Buffer
		if err := WriteDrawingPDF(&b, d); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	b := write()
	if !bytes.Equal(b, write()) {
		t.Error("not the same bytes again")
	}
	dict, stream := readPDF(t, b)
	pages, lines := 0, 0
	for i, s := range dict {
		if strings.Contains(s, "/MediaBox [0 0 595.28 841.89]") {
			pages++
		}
		if strings.Contains(stream[i], "28.35 34.02 m\n311.81 34.02 l\n") {
			lines++
		}
	}
	if pages == 0 || lines != 2 {
		t.Errorf("%d page sizes, %d lines of 100 mm", pages, lines)
	}
}
