package main

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"moldtally/mesh/meshfile"
	"moldtally/mesh/shape"
)

var updateReadme = flag.Bool("update-readme", false, "write the run's first lines into the README")

// The run that the README shows is the run that a reader gets.
func TestReadmeShowsARealRun(t *testing.T) {
	name := filepath.Join("..", "..", "README.md")
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	readme := strings.ReplaceAll(string(raw), "\r\n", "\n")
	const open, end = "```text\n", "\n```\n"
	i := strings.Index(readme, open)
	if i < 0 {
		t.Fatal("the README shows no run")
	}
	i += len(open)
	j := i + strings.Index(readme[i:], end)
	var out, errs bytes.Buffer
	drawn, shown := filepath.Join(t.TempDir(), "finial.png"), filepath.Join("..", "..", "render", "testdata", "readme.png")
	if code := run([]string{"plan", filepath.Join("..", "..", "testdata", "finial.stl"), "--png", drawn}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	// What is not on the screen is counted, and nothing else is said.
	if told := errs.String(); !strings.HasPrefix(told, "moldtally: warnings: ") || !strings.HasSuffix(told, ": --full has them all\n") || strings.Count(told, "\n") != 1 {
		t.Errorf("stderr has %q", told)
	}
	want := strings.TrimRight(out.String(), "\n ")
	if *updateReadme {
		if err := os.WriteFile(name, []byte(readme[:i]+want+readme[j:]), 0o644); err != nil {
			t.Fatal(err)
		}
		picture, err := os.ReadFile(drawn)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(shown, picture, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got := readme[i:j]; got != want {
		t.Errorf("the README shows\n%s\nthe run is\n%s", got, want)
	}
	if n := differing(t, shown, drawn); n > 0 {
		t.Errorf("the README's picture differs from the run's in %d pixels (go test -run Readme -update-readme draws it anew)", n)
	}
}

// differing is in how many pixels two PNGs differ by more than rounding; all of them
// where they are not of one size.
func differing(t *testing.T, a, b string) (n int) {
	t.Helper()
	var im [2]image.Image
	for i, name := range []string{a, b} {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if im[i], err = png.Decode(f); err != nil {
			t.Fatal(err)
		}
	}
	r := im[0].Bounds()
	if im[1].Bounds() != r {
		return r.Dx() * r.Dy()
	}
	const rounding = 8 << 8 // of the 16 bits of a channel
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			p, q := im[0].At(x, y), im[1].At(x, y)
			r0, g0, b0, _ := p.RGBA()
			r1, g1, b1, _ := q.RGBA()
			if max(r0, r1)-min(r0, r1) > rounding || max(g0, g1)-min(g0, g1) > rounding || max(b0, b1)-min(b0, b1) > rounding {
				n++
			}
		}
	}
	return n
}

// The README's quote, followed to the letter in an empty folder but for a client's
// file, ends in a quote with a price.
func TestReadmeQuotes(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, l := range strings.Split(string(raw), "\n") {
		if c, ok := strings.CutPrefix(strings.TrimSpace(l), "$ moldtally "); ok && (strings.HasPrefix(c, "shop init") || strings.HasPrefix(c, "quote client.stl")) {
			lines = append(lines, c)
		}
	}
	if len(lines) != 2 {
		t.Fatalf("the README quotes by %q", lines)
	}
	t.Chdir(t.TempDir())
	for _, v := range []string{"HOME", "XDG_CONFIG_HOME", "AppData", "USERPROFILE"} {
		t.Setenv(v, t.TempDir())
	}
	var b bytes.Buffer
	if err := meshfile.Write(&b, "stl", shape.Box(40, 30, 20)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("client.stl", b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	for _, l := range lines {
		out.Reset()
		if code := run(strings.Fields(l), strings.NewReader(""), &out, &errs); code != 0 {
			t.Fatalf("%s: exit %d: %s", l, code, errs.String())
		}
	}
	told := out.String()
	for _, want := range []string{"DRAFT", "Prices are the examples", "2 molds, all of them, once", "  Castings in resin, beside the mold", "EUR"} {
		if !strings.Contains(told, want) {
			t.Errorf("no %q in\n%s", want, told)
		}
	}
	if strings.Contains(told, "not priced") {
		t.Errorf("something has no price:\n%s", told)
	}
	if _, err := os.Stat("quote.pdf"); err != nil {
		t.Error(err)
	}
}
