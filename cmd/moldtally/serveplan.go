package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/pflag"

	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/live"
)

// The page asks for a plan by the flags of moldtally plan, and they are read by the same
// flag set: what the page gives is what that command line gives.

// notAsked are flags of plan that the page does not ask for, beside those that name
// files: nothing that a browser sends is ever opened or written to.
var notAsked = []string{"help", "version", "json", "quiet", "strict", "full", "max-triangles"}

// asked are the flags that the page asks for, in the groups of help.
func asked(shop string) ([]live.Group, error) {
	a := newApp(strings.NewReader(""), io.Discard, io.Discard)
	s := &settings{shop: shop}
	c := a.planCommand(s)
	if err := s.useShop(); err != nil {
		return nil, err
	}
	var out []live.Group
	for _, g := range a.groups[c] {
		x := live.Group{Title: g.title}
		g.flags.VisitAll(func(f *pflag.Flag) {
			field := live.Field{Flag: f.Name, Help: f.Usage}
			if v, ok := f.Value.(*value); ok {
				if field.Takes, field.Choices = v.typ, v.choices; v.offer != nil {
					field.Offers = v.offer()
				}
			}
			if f.Name == "rubber" && s.job.Shop != nil {
				field.Offers = append(rubber.Names(s.job.Shop.Rubbers), "auto")
			}
			if field.Takes != "FILE" && !slices.Contains(notAsked, f.Name) {
				x.Fields = append(x.Fields, field)
			}
		})
		if len(x.Fields) > 0 {
			out = append(out, x)
		}
	}
	return out, nil
}

// mostSaid is how long what is said for a flag may be, in bytes.
const mostSaid = 200

// line is what is said on the page as arguments of a command line, in the order of
// help: a flag's name and its value, no value for a switch.
func line(groups []live.Group, said map[string]string) ([][]string, error) {
	var out [][]string
	known := map[string]bool{}
	for _, g := range groups {
		for _, f := range g.Fields {
			known[f.Flag] = true
			v, ok := said[f.Flag]
			switch {
			case !ok:
			case len(v) > mostSaid || strings.ContainsFunc(v, unicode.IsControl):
				return nil, usagef("write it shorter", "--%s: what stands there is too long or not to be read", f.Flag)
			case f.Takes == "":
				out = append(out, []string{"--" + f.Flag})
			default:
				out = append(out, []string{"--" + f.Flag, v})
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(said)) {
		if !known[name] {
			return nil, usagef("leave it out", "the page does not ask for --%s", short(name))
		}
	}
	return out, nil
}

// newJob is a plan of patterns by what is said on the page.
func (v *server) newJob(seat string, patterns []*pattern, said map[string]string) (*job, error) {
	flags, err := line(v.form.Groups, said)
	if err != nil {
		return nil, err
	}
	a := newApp(strings.NewReader(""), io.Discard, io.Discard)
	s := &settings{shop: v.shop}
	c := a.planCommand(s)
	key, command := "", "moldtally plan"
	for _, p := range patterns {
		key += p.id + " "
		command += " " + quoted(p.name)
	}
	if v.shop != "" {
		command += " --shop " + quoted(v.shop)
	}
	var args []string
	for _, f := range flags {
		args = append(args, strings.Join(f, "="))
		command += " " + f[0]
		if len(f) > 1 {
			command += " " + quoted(f[1])
		}
	}
	if err := c.ParseFlags(args); err != nil {
		return nil, flagError(c, err)
	}
	if err := a.begin(c, s); err != nil {
		return nil, err
	}
	return &job{key: fmt.Sprintf("%s%q", key, args), seat: seat, patterns: patterns, app: a, s: s, command: command}, nil
}

// quoted is a word of a command line as a shell takes it (POSIX.1-2017, section 2.2.2).
func quoted(s string) string {
	plain := func(r rune) bool {
		return r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("_./:,+=@%-", r))
	}
	if s != "" && !strings.ContainsFunc(s, func(r rune) bool { return !plain(r) }) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// results are the parts of the page that tell a plan.
func (j *job) results(groups []live.Group) *live.Results {
	p := j.sess.Plan
	g := live.Given{View: j.view, Options: render.SheetOptions{System: j.s.system}, Command: j.command, Folder: "plans/" + j.id + "/files/", Groups: groups}
	for _, x := range papers {
		if x.has == nil || x.has(j) {
			g.Papers = append(g.Papers, live.Paper{Name: x.name, Title: x.title})
		}
	}
	return live.NewResults(p, g)
}

// paper is a file that a plan gives to download.
type paper struct {
	name, title, kind string
	want              wanted
	has               func(j *job) bool // nil = always
}

var papers = []paper{
	{"bench.pdf", "Bench sheet to print (PDF)", "application/pdf", wanted{"pdf", "bench.pdf"}, nil},
	{"bench.html", "Bench sheet as a page", "text/html; charset=utf-8", wanted{"html", "bench.html"}, nil},
	{"quote.pdf", "Quote for a client (PDF)", "application/pdf", wanted{"quote", "quote.pdf"}, func(j *job) bool { return j.quotable() }},
	{"drawing.pdf", "Drawing at true scale (PDF)", "application/pdf", wanted{"drawing", "drawing.pdf"}, nil},
	{"drawing.svg", "Drawing at true scale (SVG)", "image/svg+xml", wanted{"drawing", "drawing.svg"}, nil},
	{"picture.png", "Picture (PNG)", "image/png", wanted{"png", "picture.png"}, nil},
	{"model.glb", "Model to turn (GLB)", "model/gltf-binary", wanted{"glb", "model.glb"}, nil},
	{"container.stl", "Container to print (STL)", "model/stl", wanted{"print-container", "container.stl"}, func(j *job) bool { return j.printable() }},
	{"container.3mf", "Container to print (3MF)", "model/3mf", wanted{"print-container", "container.3mf"}, func(j *job) bool { return j.printable() }},
	{"mended.stl", "The pattern, mended (STL)", "model/stl", wanted{"repaired", "mended.stl"}, nil},
	{"plan.json", "All figures (JSON)", "application/json", wanted{"json", "plan.json"}, nil},
}

func (j *job) quotable() bool {
	return quotable([]render.Entry{{Plan: j.sess.Plan}})
}

// printable reports whether there is a container that could be printed; whether it can
// is found when it is made.
func (j *job) printable() bool { return j.sess.Fit != nil && j.sess.Fit.Fits() }

// other makes the forms of a plan that are no files of moldtally plan.
func (o *forms) other(ctx context.Context, f wanted) (func(io.Writer) error, error) {
	switch f.flag {
	case "json":
		return func(w io.Writer) error { return render.WriteJSON(w, o.sess.Plan) }, nil
	case "quote":
		if err := o.draw(ctx, wanted{flag: "picture"}); err != nil {
			return nil, err
		}
		q := *o.s
		q.quote, q.brief = true, false
		plan := *o.sess.Plan
		plan.Letter = estimate.NewLetter(q.job.Shop, estimate.Addressee{}, q.job.Date)
		sheet := render.NewQuote([]render.Entry{{File: plan.Pattern.File, Plan: &plan}}, q.quoteOptions())
		return q.paper("pdf", sheet, o.drawn[true]), nil
	}
	return o.of(ctx, f)
}

// told is an error in its three parts, for the page.
type told struct {
	Summary string `json:"summary"`
	Effect  string `json:"effect,omitempty"`
	Hint    string `json:"hint,omitempty"`
	Gone    bool   `json:"gone,omitempty"` // what was asked for is no longer there: ask anew
}

// tellError words an error for the page.
func (v *server) tellError(err error, system unit.System) told {
	if errors.Is(err, context.Canceled) {
		return told{Summary: "this was given up", Gone: true}
	}
	summary, effect, hint, _ := explain(err, system)
	say := func(s string) string { return live.Asked(v.form.Groups, s) }
	return told{Summary: say(summary), Effect: say(effect), Hint: say(hint)}
}
