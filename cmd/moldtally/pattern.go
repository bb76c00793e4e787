package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/drawing"
	"moldtally/render/figure"
	"moldtally/render/picture"
)

// load reads a pattern and scales it to millimetres, and by --resize.
func (a *app) load(ctx context.Context, pattern string, s *settings) (*mesh.Mesh, estimate.Source, error) {
	file := baseName(pattern)
	o := meshfile.Options{MaxTriangles: s.maxTriangles, Progress: a.progress, Name: file}
	var b *mesh.Builder
	var info meshfile.Info
	var err error
	if pattern == "-" {
		o.Name = "the pattern on stdin"
		data, size, done, serr := spool(ctx, a.in)
		if serr != nil {
			return nil, estimate.Source{}, serr
		}
		defer done()
		b, info, err = meshfile.Read(ctx, data, size, o)
	} else {
		b, info, err = meshfile.Open(ctx, pattern, o)
	}
	if err != nil {
		return nil, estimate.Source{}, err
	}
	return s.built(file, b, info)
}

// built is the mesh of what was read of a file, in millimetres, and by --resize.
func (s *settings) built(file string, b *mesh.Builder, info meshfile.Info) (*mesh.Mesh, estimate.Source, error) {
	src, scale := estimate.ReadAs(file, info, s.units, s.resize)
	m, err := b.Build(scale)
	if err != nil {
		return nil, src, &failure{fmt.Sprintf("%s gives no mesh: %s", file, trimPackages(err.Error())),
			"without a surface there is no volume, so no rubber can be worked out", "look at the file's numbers and at --units and --resize"}
	}
	return m, src, nil
}

// plan does the whole job for one pattern. A session beside an error holds
// what could be found all the same.
func (a *app) plan(ctx context.Context, pattern string, s *settings, stage estimate.Stage) (*estimate.Session, error) {
	m, src, err := a.load(ctx, pattern, s)
	if err != nil {
		return nil, err
	}
	job := s.job
	job.Source, job.Parts.StopAfter = src, stage
	return estimate.Tally(ctx, m, job, estimate.Options{Version: version, Progress: a.progress})
}

// meshCommand runs the same pipeline for every command that reads patterns.
func (a *app) meshCommand(c *cobra.Command, patterns []string, s *settings, stage estimate.Stage) error {
	ctx := c.Context()
	if err := a.begin(c, s); err != nil {
		return err
	}
	patterns = expand(patterns)
	if n := count(patterns, "-"); n > 1 {
		return usagef("name it once", "stdin (-) is named %d times", n)
	}
	// Where files go is settled before any work is done.
	files, papers, err := s.outputFiles(patterns)
	if err != nil {
		return err
	}
	if s.shared(patterns) {
		return a.meshTogether(ctx, patterns, s, stage, files[0], papers)
	}
	var entries []render.Entry
	var picture []byte
	var found finding.List
	err = a.each(ctx, patterns, s, stage, files, func(i int, r result) (bool, error) {
		label := ""
		if len(patterns) > 1 {
			label = baseName(patterns[i])
		}
		e := r.entry
		if e.Plan != nil && s.letterOf(patterns) {
			found = append(found, e.Plan.Warnings...)
		} else if e.Plan != nil {
			a.warn(label, s, e.Plan)
		}
		if r.err != nil {
			if a.fail(label, r.err) == exitUsage { // it would be wrong for every pattern
				a.status = exitUsage
				return false, nil
			}
			e.Error, _, _, _ = explain(r.err, unit.Metric)
			a.status = exitFailed
		}
		entries, picture = append(entries, e), r.picture
		if s.json || s.noSheet || s.quote || e.Plan == nil {
			return true, nil
		}
		if i > 0 {
			fmt.Fprintln(a.out)
		}
		return true, a.printPlan(e, s)
	})
	if err != nil || a.status == exitUsage {
		return err
	}
	if len(found) > 0 {
		a.counted("", found, ", of all patterns: moldtally plan tells them")
	}
	if err := a.writeQuote(entries, picture, s, papers); err != nil {
		return err
	}
	if err := a.conclude(entries, s); err != nil {
		return err
	}
	if a.status == exitOK && s.strict && slices.ContainsFunc(entries, func(e render.Entry) bool { return e.Plan != nil && stopOpen(e.Plan) }) {
		a.status = exitStop
	}
	return nil
}

// begin settles what holds for the whole run: flags that contradict each other,
// the shop file, units.
func (a *app) begin(c *cobra.Command, s *settings) error {
	a.quiet = s.quiet
	if err := s.checkFlags(c); err != nil {
		return err
	}
	if c.Flags().Lookup("shop") != nil {
		if err := s.useShop(); err != nil {
			return err
		}
	}
	a.system = s.system
	return nil
}

// entry plans one pattern and writes its files. Beside an error it holds the plan of
// what could be found all the same.
func (a *app) entry(ctx context.Context, pattern string, s *settings, stage estimate.Stage, files []wanted) result {
	sess, err := a.plan(ctx, pattern, s, stage)
	return a.settle(ctx, baseName(pattern), sess, err, s, files)
}

// settle writes the files of a session, unless it came with an error.
func (a *app) settle(ctx context.Context, file string, sess *estimate.Session, err error, s *settings, files []wanted) (r result) {
	r.entry.File = file
	if err == nil && len(files) > 0 {
		r.picture, err = a.writeFiles(ctx, sess, s, files)
	}
	if r.err = err; ctx.Err() != nil {
		return r
	}
	if sess != nil && sess.Plan != nil {
		r.entry.Plan = sess.Plan
		if err == nil && !s.json && s.screened(sess.Plan) {
			r.entry.View, r.err = picture.Viewpoint(ctx, sess, picture.Options{System: s.system})
		}
	}
	if p := r.entry.Plan; err == nil && s.quote && p.Cost == nil && !p.Refused() {
		r.err = notQuoted(r.entry.File)
	}
	return r
}

// conclude prints what is told of all patterns together.
func (a *app) conclude(entries []render.Entry, s *settings) error {
	o := render.SheetOptions{System: s.system}
	switch {
	case s.json && len(entries) == 1:
		if p := entries[0].Plan; p != nil {
			return a.print(func(w io.Writer) error { return render.WriteJSON(w, p) })
		}
	case s.json:
		return a.print(func(w io.Writer) error { return render.WriteManyJSON(w, version, entries, totalOf(entries)) })
	case s.quote:
		if quotable(entries) {
			return a.printSheet(render.NewQuote(entries, s.quoteOptions()))
		}
	case len(entries) > 1 && !s.noSheet:
		fmt.Fprintln(a.out)
		return a.printSheet(render.NewTotals(entries, o))
	}
	return nil
}

func stopOpen(p *estimate.Plan) bool {
	w, any := p.Warnings.Worst()
	return any && w == finding.Stop
}

// warn tells a plan's warnings on stderr: where the report is a sheet, which has
// them, or the first screen, which has the gravest, in one line that counts them. A
// quote has none of them: they are the shop's, and the plan tells them.
func (a *app) warn(label string, s *settings, p *estimate.Plan) {
	if s.quote && !s.json {
		a.counted(label, p.Warnings, ": moldtally plan tells them")
		return
	}
	if s.json || s.noSheet {
		for _, f := range p.Warnings {
			a.finding(label, f)
		}
		return
	}
	where := ", on the sheet"
	if s.screened(p) {
		where = ": --full has them all"
	}
	a.counted(label, p.Warnings, where)
}

// print writes a report to stdout, whole or not at all.
func (a *app) print(write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	if _, err := a.out.Write(b.Bytes()); err != nil {
		return &failure{fmt.Sprintf("the report cannot be written to stdout: %v", cause(err)), "a part of it may be missing", "write it to a file: add > FILE"}
	}
	return nil
}

// screened reports whether a plan is reported as its first screen: of a file that
// gives no mold all that is known is told.
func (s *settings) screened(p *estimate.Plan) bool { return s.brief && !s.full && p.Rubber != nil }

// printPlan prints what a command tells of one pattern: its first screen, or its
// sheet.
func (a *app) printPlan(e render.Entry, s *settings) error {
	o := render.SheetOptions{System: s.system}
	if !s.screened(e.Plan) {
		return a.printSheet(render.NewSheet(e.Plan, o))
	}
	return a.print(func(w io.Writer) error {
		return render.WriteScreen(w, render.NewScreen(e.Plan, e.View, o), a.setting())
	})
}

// setting is how text is set for where it goes.
func (a *app) setting() render.TextOptions {
	return render.TextOptions{Width: width(a.out), Color: color(a.out), ASCII: ascii(a.out)}
}

func (a *app) printSheet(s *render.Sheet) error {
	return a.print(func(w io.Writer) error {
		return render.WriteText(w, s, a.setting())
	})
}

// wanted is a file that a flag asks for.
type wanted struct{ flag, target string }

// drawn reports whether the file holds the picture.
func (w wanted) drawn() bool {
	return w.flag == "picture" || w.flag == "png" || w.flag == "pdf" || w.flag == "html"
}

// outputFiles settles where each pattern's files go, and the papers of a quote, which
// are one file for all.
func (s *settings) outputFiles(patterns []string) (files [][]wanted, papers []wanted, err error) {
	out := outputs{patterns: patterns, apart: len(patterns) > 1}
	if s.shared(patterns) { // one plan, whose files are called after its first pattern
		out.apart, patterns = false, patterns[:1]
	}
	files = make([][]wanted, len(patterns))
	for _, f := range []struct{ flag, name, ext string }{{"png", s.png, ".png"}, {"pdf", s.pdf, ".pdf"}, {"html", s.html, ".html"}, {"glb", s.glb, ".glb"}, {"repaired", s.repaired, ".stl"}, {"drawing", s.drawing, ".svg"}, {"print-container", s.printContainer, ".stl"}} {
		if s.quote && (f.flag == "pdf" || f.flag == "html") {
			continue
		}
		for i, p := range patterns {
			t, err := out.target("--"+f.flag, f.name, p, f.ext)
			if err != nil {
				return nil, nil, err
			}
			if t == "" {
				continue
			}
			if err := formSaid(f.flag, f.name, t); err != nil {
				return nil, nil, err
			}
			for _, w := range files[i] {
				if sameFile(w.target, t) {
					return nil, nil, usagef("give each its own name", "--%s and --%s name the same file", w.flag, f.flag)
				}
			}
			files[i] = append(files[i], wanted{f.flag, t})
		}
	}
	if s.quote {
		if papers, err = s.quoteFiles(patterns, &out); err != nil {
			return nil, nil, err
		}
		if len(files) == 1 && slices.ContainsFunc(papers, func(w wanted) bool { return w.flag != "csv" }) {
			files[0] = append(files[0], wanted{flag: "picture"})
		}
	}
	return files, papers, nil
}

// formSaid refuses a file whose name does not say how it is written.
func formSaid(flag, name, target string) error {
	ok, ends := true, ""
	switch flag {
	case "repaired":
		_, ok = meshfile.FormatFor(target)
		ends = ".stl, .obj, .ply, .off, .3mf or .glb"
	case "drawing":
		ok = drawingForm(target) != ""
		ends = ".svg or .pdf"
	case "print-container":
		_, ok = printedForm(target)
		ends = ".stl or .3mf"
	}
	if !ok {
		return usagef("end its name in "+ends, "--%s %s does not say in which format to write", flag, name)
	}
	return nil
}

// drawingForm is how a drawing is written, by its file's name; "" = no such way.
func drawingForm(name string) string {
	switch e := strings.ToLower(filepath.Ext(name)); e {
	case ".svg", ".pdf":
		return e
	}
	return ""
}

// draw makes the drawing of a session and returns what writes it.
func (s *settings) draw(ctx context.Context, sess *estimate.Session, form string) (func(io.Writer) error, error) {
	d, err := drawing.New(ctx, sess, drawing.Options{System: s.system})
	if err != nil {
		return nil, err
	}
	if form == ".pdf" {
		return func(w io.Writer) error { return render.WriteDrawingPDF(w, d) }, nil
	}
	return func(w io.Writer) error { return drawing.WriteSVG(w, d) }, nil
}

// writeFiles writes all files of one pattern, or none, and returns its picture for
// a paper of all patterns, if one is wanted. One pattern's are written at a time.
func (a *app) writeFiles(ctx context.Context, sess *estimate.Session, s *settings, files []wanted) ([]byte, error) {
	a.writing.Lock()
	defer a.writing.Unlock()
	var b batch
	defer b.discard()
	forms := forms{app: a, sess: sess, s: s, drawn: map[bool][]byte{}}
	for _, f := range files {
		write, err := forms.of(ctx, f)
		if err != nil {
			return nil, err
		}
		if write == nil {
			continue // for a paper of all patterns
		}
		if err := b.add(f.target, write); err != nil {
			return nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return forms.drawn[true], b.commit()
}

// forms are the other forms of one session's result, and what they share: the picture
// is drawn once, for itself and for the pages; a bench sheet, on paper and as a page,
// has its own.
type forms struct {
	app   *app
	sess  *estimate.Session
	s     *settings
	drawn map[bool][]byte // the picture; of a letter, which says name and sizes itself, true
	bench *render.BenchOptions
}

// draw draws what a form shows, unless that is there.
func (o *forms) draw(ctx context.Context, f wanted) (err error) {
	benched := o.benched(f)
	if benched && o.bench == nil {
		o.bench, err = o.s.bench(ctx, o.sess, o.app.progress)
		return err
	}
	letter := f.flag == "picture"
	if !f.drawn() || benched || o.drawn[letter] != nil {
		return nil
	}
	im, err := picture.Preview(ctx, o.sess, picture.Options{System: o.s.system, Progress: o.app.progress, Bare: letter, Paper: letter})
	if err != nil {
		return err
	}
	var drawn bytes.Buffer
	if err := picture.WritePNG(&drawn, im); err != nil {
		return err
	}
	o.drawn[letter] = drawn.Bytes()
	return nil
}

// benched reports whether a form is a bench sheet.
func (o *forms) benched(f wanted) bool {
	return (f.flag == "pdf" || f.flag == "html") && o.s.benched(o.sess.Plan)
}

// of makes a form and returns what writes it; nil for the picture that a paper of all
// patterns bears. The name of its target says how it is written.
func (o *forms) of(ctx context.Context, f wanted) (func(io.Writer) error, error) {
	if err := o.draw(ctx, f); err != nil {
		return nil, err
	}
	a, sess, s := o.app, o.sess, o.s
	switch f.flag {
	case "png":
		return func(w io.Writer) error {
			_, err := w.Write(o.drawn[false])
			return err
		}, nil
	case "pdf", "html":
		if o.benched(f) {
			return benchPage(f.flag, sess.Plan, o.bench), nil
		}
		return s.paper(f.flag, render.NewSheet(sess.Plan, render.SheetOptions{System: s.system}), o.drawn[false]), nil
	case "glb":
		return func(w io.Writer) error {
			return picture.WriteGLB(ctx, w, sess, picture.GLBOptions{Progress: a.progress})
		}, nil
	case "drawing":
		return s.draw(ctx, sess, drawingForm(f.target))
	case "print-container":
		return a.printedContainer(ctx, sess, s, f.target)
	case "repaired":
		return a.mended(ctx, sess, f.target)
	}
	return nil, nil
}

// mended makes the mended solid that a session's figures are of.
func (a *app) mended(ctx context.Context, sess *estimate.Session, target string) (func(io.Writer) error, error) {
	a.progress("mend", 0, 0)
	m, how, err := sess.Solid.Repaired(ctx, 0)
	if err != nil {
		return nil, err
	}
	switch {
	case how.Cell > 0:
		a.note("the surface crosses itself and could not be cut where it does, so the mended solid was drawn anew in cells of %s mm; edges are cut off within a cell", digits4(how.Cell))
	case how.Cut+how.Dropped > 0:
		a.note("in the mended solid %s where they cross or touch others, which made %s, and %s that no rubber meets; no other face moved",
			figure.Count(how.Cut, "face was cut", "faces were cut"), figure.Count(how.Added, "new one", "new ones"), figure.Count(how.Dropped, "face left out", "faces left out"))
	}
	if how.Left > 0 {
		a.note("where it was cut, rounding leaves %s that still cross, by the last digit of a coordinate: too little for a printer or a slicer to see", figure.Count(how.Left, "pair of faces", "pairs of faces"))
	}
	format, _ := meshfile.FormatFor(target)
	return func(w io.Writer) error { return meshfile.Write(w, format, m) }, nil
}

// totalOf is what several patterns add up to; null where no pattern has it. One
// that failed counts for nothing else, whatever was found of it.
func totalOf(entries []render.Entry) *estimate.Total {
	var plans []*estimate.Plan
	for _, e := range entries {
		if e.Error != "" {
			e.Plan = nil
		}
		plans = append(plans, e.Plan)
	}
	return new(estimate.Sum(plans))
}

// expand opens * and ? in names where the shell does not (on Windows).
func expand(patterns []string) []string {
	if runtime.GOOS != "windows" {
		return patterns
	}
	var out []string
	for _, p := range patterns {
		if names, err := filepath.Glob(p); err == nil && len(names) > 0 {
			out = append(out, names...) // Glob sorts
		} else {
			out = append(out, p)
		}
	}
	return out
}

func count(list []string, s string) int {
	n := 0
	for _, x := range list {
		if x == s {
			n++
		}
	}
	return n
}
