package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/pflag"

	"moldtally/estimate"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/picture"
)

// screenJobs are jobs with different things to tell: made bodies, a scan and files of
// others, taken out in every way, gone, open and refused. A pattern that is not among
// the samples is of the collection of real meshes.
var screenJobs = []string{
	"finial.stl --height 7in --pattern-material pla --infill 15 --weigh-to 0.1oz --price-per-kg 24.90 --currency USD --cast resin --copies 20 --resolution 2mm",
	"finial.stl --up +z --mold blanket --longest 16in --temp 86F --resolution 2mm",
	"finial.stl --mold two-part --copies 20 --cast resin --have 1kg --resolution 2mm",
	"finial.stl --up +z --rubber tin-25 --pattern-material sulfur-clay --cast plaster --pattern-mass 1lb --resolution 2mm",
	"arch.stl --mold cut --up +z --wall 15mm --copies 5 --resolution 2mm",
	"arch.stl --mold two-part --cast foam-rigid --units in --resize 0.2 --resolution 2mm",
	"tile.obj --up +z --cast concrete --rubber auto --copies 100 --pattern-mass 300g --resolution 2mm",
	"tile.obj --up +z --inside 150,150,40 --board acrylic-3 --resolution 2mm",
	"tile.obj --up +z --inside-tube 60,40 --cast zinc-alloy --resolution 2mm",
	"tile.obj --longest 36in --pattern-irreplaceable --pattern-material plaster --resolution 2mm",
	"tile.obj --up +z --displaced 100ml --cast wax --container sleeve --tube exact --resolution 2mm",
	"heron-scan.ply --resolution 4mm",
	"rabbit_overlapping.obj --longest 150mm --resolution 4mm",
	"two_bodies_flipped.stl --longest 60mm --resolution 4mm",
}

// screenJob plans one of them.
func screenJob(t *testing.T, job string) *estimate.Session {
	t.Helper()
	args := strings.Fields(job)
	path := filepath.Join("..", "..", "testdata", args[0])
	if _, err := os.Stat(path); err != nil {
		path = real.File(t, "the first screen of a real mesh", args[0])
	}
	s := &settings{}
	fs := pflag.NewFlagSet(job, pflag.ContinueOnError)
	g := groups{}
	for _, add := range s.jobFlags() {
		add(&g)
	}
	for _, x := range g {
		fs.AddFlagSet(x.flags)
	}
	if err := fs.Parse(args[1:]); err != nil {
		t.Fatal(err)
	}
	if err := s.useShop(); err != nil {
		t.Fatal(err)
	}
	a := newApp(strings.NewReader(""), new(bytes.Buffer), new(bytes.Buffer))
	a.quiet = true
	sess, err := a.plan(context.Background(), path, s, estimate.All)
	if err != nil {
		t.Fatal(err)
	}
	return sess
}

// absurd finds a number in scientific form, or with more digits than a bench reads.
var absurd = regexp.MustCompile(`\d[eE][+-]\d|\d\.\d{4,}|NaN|Inf|%!`)

// The first screen holds what the contract promises: 45 lines of 80 columns for one
// pour, four more for each further; no coordinates; in US units no metric figure, which
// the whole sheet keeps to as well; and of a job that is refused no weights.
func TestFirstScreens(t *testing.T) {
	for i, job := range screenJobs {
		t.Run(job, func(t *testing.T) {
			if testing.Short() && i > 0 {
				t.Skip("works on whole samples")
			}
			t.Parallel()
			sess := screenJob(t, job)
			for _, system := range []unit.System{unit.Both, unit.Metric, unit.US} {
				view, err := picture.Viewpoint(context.Background(), sess, picture.Options{System: system})
				if err != nil {
					t.Fatal(err)
				}
				keepsPromises(t, system, sess.Plan, render.NewScreen(sess.Plan, view, render.SheetOptions{System: system}))
			}
			var sheet bytes.Buffer
			if err := render.WriteText(&sheet, render.NewSheet(sess.Plan, render.SheetOptions{System: unit.US}), render.TextOptions{}); err != nil {
				t.Fatal(err)
			}
			noMetric(t, sheet.String())
		})
	}
}

func keepsPromises(t *testing.T, system unit.System, p *estimate.Plan, s *render.Screen) {
	var b bytes.Buffer
	if err := render.WriteScreen(&b, s, render.TextOptions{}); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if err := fits(text, len(s.Pours)); err != nil {
		t.Errorf("%s: %v\n%s", system, err, text)
	}
	flat := strings.Join(strings.Fields(text), " ")
	if at := coordinates.FindString(flat) + absurd.FindString(flat); at != "" {
		t.Errorf("%s: %q\n%s", system, at, text)
	}
	if system == unit.US {
		noMetric(t, text)
	}
	if no := p.Refused(); no != strings.HasPrefix(flat, "No: ") || no && (len(s.Pours) > 0 || !strings.Contains(flat, "What would make it a yes: ")) {
		t.Errorf("%s: refused is %v\n%s", system, no, text)
	}
}

// fits says what of a screen does not keep to its size.
func fits(screen string, pours int) error {
	lines := strings.Split(strings.TrimRight(screen, "\n"), "\n")
	if most := 45 + 4*max(0, pours-1); len(lines) > most {
		return fmt.Errorf("%d lines, at most %d for %d pours", len(lines), most, pours)
	}
	for _, l := range lines {
		if n := utf8.RuneCountInString(l); n > 80 {
			return fmt.Errorf("%d columns: %q", n, l)
		}
	}
	return nil
}

func TestASCIILocale(t *testing.T) {
	for _, c := range []struct {
		vars [3]string
		want bool
	}{
		{[3]string{}, false}, {[3]string{"C"}, true}, {[3]string{"", "", "en_US.ISO-8859-1"}, true},
		{[3]string{"", "de_DE.UTF-8", "C"}, false}, {[3]string{"C.utf8", "", "C"}, false},
	} {
		if got := asciiLocale(c.vars[:]...); got != c.want {
			t.Errorf("%q: %v", c.vars, got)
		}
	}
}
