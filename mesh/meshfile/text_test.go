package meshfile

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"moldtally/mesh"
)

// TestNumber holds the fast reading of numbers against strconv, bit for bit.
func TestNumber(t *testing.T) {
	check := func(s string) {
		t.Helper()
		want, err := strconv.ParseFloat(s, 64)
		if err != nil && !math.IsInf(want, 0) {
			t.Fatalf("%q: %v", s, err)
		}
		for _, tail := range []string{"", " ", "\n7"} {
			got, end, ok := number([]byte("x "+s+tail), 2)
			if !ok || end != 2+len(s) || math.Float64bits(got) != math.Float64bits(want) {
				t.Fatalf("%q: got %v (%v, end %d), want %v", s, got, ok, end, want)
			}
		}
	}
	for _, s := range []string{"0", "-0", "+0", "1", ".5", "5.", "-.5e1", "1e22", "1e23", "1e-22", "1e-23", "9007199254740991", "9007199254740992", "9007199254740993",
		"123456789012345678", "1234567890123456789", "12345678901234567890", "0.000000000000000000000000000001", "00000000000000000000001.5",
		"1e308", "1e309", "-1e400", "1e-320", "4.9e-324", "1e-400", "2.2250738585072011e-308", "1e+05", "1E5", "1e99999999999", "0e99999", "0.1", "0.3", "2.675"} {
		check(s)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 200_000 {
		f := math.Float64frombits(rng.Uint64())
		if math.IsNaN(f) || math.IsInf(f, 0) {
			continue
		}
		check(strconv.FormatFloat(f, 'g', -1, 64))
		g := rng.NormFloat64() * math.Pow(10, float64(rng.IntN(12)-6))
		check(strconv.FormatFloat(g, 'f', rng.IntN(20), 64))
		check(strconv.FormatFloat(g, 'e', rng.IntN(20), 64))
		check(strconv.FormatFloat(float64(float32(g)), 'g', -1, 32))
	}
	for _, s := range []string{"", "-", ".", "e5", "1e", "1e+", "1x", "0x10", "1_0", "1,5", "--1", "1.2.3", "one"} {
		if v, _, ok := number([]byte(s), 0); ok {
			t.Errorf("%q: got %v, want none", s, v)
		}
	}
	for _, s := range []string{"nan", "NaN", "-nan", "inf", "+INF", "Infinity", "1.#QNAN"} {
		if v, _, ok := number([]byte(s), 0); ok && !math.IsNaN(v) && !math.IsInf(v, 0) {
			t.Errorf("%q: got %v", s, v)
		}
	}
}

// TestSameForAnyCores reads files of many blocks with one core and several;
// every vertex and triangle number must be the same.
func TestSameForAnyCores(t *testing.T) {
	m := ball(t, 150, 20, mesh.V(1, 2, 3))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, f := range formats {
		p := written(t, f, m)
		var first *mesh.Mesh
		for _, n := range []int{1, 2, 5} {
			runtime.GOMAXPROCS(n)
			got, _ := readBytes(t, p)
			if first == nil {
				first = got
				continue
			}
			if !slices.Equal(got.Vertices(), first.Vertices()) || !slices.Equal(got.Triangles(), first.Triangles()) {
				t.Errorf("%s: %d cores give another mesh", f, n)
			}
		}
	}
}

// TestBlockSeams moves the places where text is cut into blocks over all
// kinds of lines, by padding the front with comments of every length.
func TestBlockSeams(t *testing.T) {
	m := ball(t, 60, 20, mesh.V(1, 2, 3))
	obj := string(written(t, "obj", m))
	// Continuations and two-byte line ends near the seams.
	obj = strings.ReplaceAll(obj, "f ", "f \\\r\n ")
	obj = strings.ReplaceAll(obj, "\n", "\r\n")
	obj = strings.ReplaceAll(obj, "\r\r\n", "\r\n")
	off := string(written(t, "off", m))
	asc := string(written(t, "stl-ascii", m))
	for pad := 0; pad < 130; pad += 3 {
		for _, c := range []struct {
			name, text string
			off        float64
		}{
			{"obj", "#" + strings.Repeat("x", pad) + "\n" + obj, 0},
			{"off", strings.Replace(off, "\n", " #"+strings.Repeat("x", pad)+"\n", 1), 0},
			{"stl", strings.Replace(asc, "pattern", "pattern"+strings.Repeat("x", pad), 1), 2e-6}, // float32
		} {
			got, info := readBytes(t, []byte(c.text))
			if len(info.Findings) > 0 {
				t.Fatalf("%s, pad %d: %v", c.name, pad, info.Findings)
			}
			sameSurface(t, got, m, c.off)
		}
	}
}

func TestLineNumbers(t *testing.T) {
	m := ball(t, 60, 20, mesh.V(1, 2, 3))
	for _, c := range []struct{ format, find, put string }{
		{"obj", "f ", "f x"},
		{"stl-ascii", "vertex ", "vertex x"},
		{"off", "3 ", "3 x"},
		{"ply-ascii", "3 ", "3 x"},
	} {
		text := string(written(t, c.format, m))
		at := strings.LastIndex(text, "\n"+c.find)
		if at < 0 {
			at = strings.LastIndex(text, c.find)
		} else {
			at++
		}
		want := 1 + strings.Count(text[:at], "\n")
		broken := text[:at] + c.put + text[at+len(c.find):]
		for _, nl := range []string{"\n", "\r\n", "\r"} {
			p := []byte(strings.ReplaceAll(broken, "\n", nl))
			_, _, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{Name: "heron"})
			if err == nil {
				t.Fatalf("%s: read", c.format)
			}
			if e := faultOf(t, err); e.File != "heron" || e.Line != want {
				t.Errorf("%s with %q: got line %d of %s, want %d of heron", c.format, nl, e.Line, e.File, want)
			}
		}
	}
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{50, 160, 500} {
		m := ball(b, n, 50, mesh.V(37.5, -21.25, 64))
		for _, f := range formats {
			p := written(b, f, m)
			b.Run(fmt.Sprintf("%s/%d", f, m.NumTriangles()), func(b *testing.B) {
				b.SetBytes(int64(len(p)))
				b.ReportAllocs()
				for b.Loop() {
					if _, _, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
