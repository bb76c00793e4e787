package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// Every flag of a command stands in its help and in its manual page, in a
// group, and nothing is offered twice.
func TestHelpListsEveryFlag(t *testing.T) {
	a := newApp(strings.NewReader(""), io.Discard, io.Discard)
	for _, c := range a.root.Commands() {
		if _, ours := a.groups[c]; !ours {
			continue
		}
		var help, page bytes.Buffer
		c.SetOut(&help)
		a.help(c, nil)
		if err := a.manualPage(&page, c); err != nil {
			t.Fatal(err)
		}
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if n := strings.Count(help.String(), " --"+f.Name+" ") + strings.Count(help.String(), " --"+f.Name+"\n"); n < 1 {
				t.Errorf("%s: --%s stands %d times in help", c.Name(), f.Name, n)
			}
			if !strings.Contains(page.String(), roff("--"+f.Name)) {
				t.Errorf("%s: --%s is not in the manual page", c.Name(), f.Name)
			}
			if f.Usage == "" {
				t.Errorf("%s: --%s says nothing", c.Name(), f.Name)
			}
		})
		if c.Example == "" && !strings.HasPrefix(c.Name(), "help") {
			t.Errorf("%s has no example", c.Name())
		}
		for _, l := range strings.Split(help.String(), "\n") {
			if n := len([]rune(l)); n > 90 {
				t.Errorf("%s: a line of help has %d columns: %q", c.Name(), n, l)
			}
		}
	}
}

// The flags that each command is to have.
func TestFlagsOffered(t *testing.T) {
	pattern := "units resize height longest opening keep-crumbs displaced max-triangles up"
	pose := " mold clay ignore resolution"
	holds := " container inside inside-tube wall over under board tube shop"
	rubber := " rubber sg in3-per-lb mix mix-by sg-a sg-b extra weigh-to temp have price-per-kg currency pattern-material pattern-mass infill fixed pattern-irreplaceable pattern-value cast cast-wall copies"
	common := " json quiet strict help version system"
	a := newApp(strings.NewReader(""), io.Discard, io.Discard)
	for name, flags := range map[string]string{
		"plan":       pattern + pose + holds + rubber + common + " png pdf html glb repaired drawing print-container printer search show",
		"check":      pattern + common + " repaired",
		"demold":     pattern + pose + common + " search show",
		"containers": pattern + pose + holds + common + " drawing",
		"preview":    pattern + pose + holds + common + " output",
		"pour":       "box sleeve frustum displaced shop pdf html" + rubber + common,
		"materials":  "json help version shop",
		"shop":       "json help version shop",
	} {
		c, _, err := a.root.Find([]string{name})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, f := range strings.Fields(flags) {
			if c.Flags().Lookup(f) == nil {
				t.Errorf("moldtally %s has no --%s", name, f)
			}
		}
	}
}

// The examples in the help are command lines that parse.
func TestExamplesParse(t *testing.T) {
	probe := newApp(strings.NewReader(""), io.Discard, io.Discard)
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		for _, line := range strings.Split(c.Example, "\n") {
			if line = strings.TrimSpace(line); line == "" {
				continue
			}
			args := split(line)
			if args[0] != "moldtally" {
				t.Errorf("example %q does not begin with moldtally", line)
				continue
			}
			a := newApp(strings.NewReader(""), io.Discard, io.Discard)
			cmd, rest, err := a.root.Find(args[1:])
			if err == nil {
				err = cmd.ParseFlags(rest)
			}
			if err == nil {
				err = cmd.ValidateArgs(cmd.Flags().Args())
			}
			if err != nil {
				t.Errorf("example %q: %v", line, err)
			}
		}
		for _, s := range c.Commands() {
			if _, ours := probe.groups[s]; ours {
				walk(s)
			}
		}
	}
	walk(probe.root)
}

// split cuts a line into words as a shell does, up to a redirection.
func split(line string) []string {
	var out []string
	word, in, quoted := "", false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, in = !quoted, true
		case r == '>' && !quoted:
			return out
		case r == ' ' && !quoted:
			if in {
				out = append(out, word)
			}
			word, in = "", false
		default:
			word, in = word+string(r), true
		}
	}
	if in {
		out = append(out, word)
	}
	return out
}

func TestTarget(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "here.png")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	a, b, c := filepath.Join(dir, "a.stl"), filepath.Join(dir, "b.stl"), filepath.Join(dir, "sub", "A.obj")
	for _, x := range []struct {
		name     string
		patterns []string
		flag     string
		want     []string // "" = a usage error
	}{
		{"not given", []string{a}, "", []string{""}},
		{"a file", []string{a}, file, []string{file}},
		{"a new file", []string{a}, filepath.Join(dir, "new.png"), []string{filepath.Join(dir, "new.png")}},
		{"a folder", []string{a}, dir, []string{filepath.Join(dir, "a.png")}},
		{"a new folder", []string{a}, filepath.Join(dir, "out") + "/", []string{filepath.Join(dir, "out", "a.png")}},
		{"stdin", []string{"-"}, dir, []string{filepath.Join(dir, "stdin.png")}},
		{"two, a folder", []string{a, b}, dir, []string{filepath.Join(dir, "a.png"), filepath.Join(dir, "b.png")}},
		{"two of one name", []string{a, c}, filepath.Join(dir, "out"), []string{filepath.Join(dir, "out", "a.png"), filepath.Join(dir, "out", "A-2.png")}},
		{"two, a file that is there", []string{a, b}, file, []string{"error"}},
		{"two, a file's name", []string{a, b}, filepath.Join(dir, "new.png"), []string{"error"}},
		{"the pattern itself", []string{file}, file, []string{"error"}},
		{"the pattern by its folder", []string{file}, dir, []string{"error"}},
	} {
		o := outputs{patterns: x.patterns, apart: len(x.patterns) > 1}
		for i, want := range x.want {
			got, err := o.target("--png", x.flag, x.patterns[i], ".png")
			var u *usageError
			if want == "error" {
				if !errors.As(err, &u) || u.hint == "" {
					t.Errorf("%s: got %q, %v; want a usage error with a hint", x.name, got, err)
				}
			} else if err != nil || got != want {
				t.Errorf("%s: got %q, %v; want %q", x.name, got, err, want)
			}
		}
	}
}

// What fails half-way leaves nothing, and what was there stays.
func TestBatch(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, "old.txt")
	if err := os.WriteFile(old, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	write := func(s string) func(io.Writer) error {
		return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
	}
	var b batch
	if err := b.add(old, write("new")); err != nil {
		t.Fatal(err)
	}
	if err := b.add(filepath.Join(dir, "two.txt"), func(w io.Writer) error {
		fmt.Fprint(w, "half")
		return errors.New("no more")
	}); err == nil {
		t.Fatal("the writer's error is lost")
	}
	b.discard()
	if got, _ := os.ReadFile(old); string(got) != "old" {
		t.Errorf("old.txt holds %q, want what it held", got)
	}
	if es, _ := os.ReadDir(dir); len(es) != 1 {
		t.Errorf("%d files are left, want 1", len(es))
	}
	if err := b.add(old, write("new")); err != nil {
		t.Fatal(err)
	}
	if err := b.commit(); err != nil {
		t.Fatal(err)
	}
	b.discard()
	if got, _ := os.ReadFile(old); string(got) != "new" {
		t.Errorf("old.txt holds %q, want what was written", got)
	}
}

// stuck is a stdin on which nothing ever comes.
type stuck struct{ release chan struct{} }

func (s stuck) Read([]byte) (int, error) { <-s.release; return 0, io.EOF }

// Ctrl-C ends a run that waits for stdin: status 130, and nothing on stdout.
func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	s := stuck{make(chan struct{})}
	defer close(s.release)
	var out, err bytes.Buffer
	done := make(chan int)
	go func() { done <- runContext(ctx, []string{"plan", "-"}, s, &out, &err) }()
	time.AfterFunc(50*time.Millisecond, cancel)
	select {
	case got := <-done:
		if got != exitInterrupted || out.Len() > 0 || !strings.Contains(err.String(), "stopped") {
			t.Errorf("status %d, stdout %q, stderr %q; want 130, nothing, and a word", got, out.String(), err.String())
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it does not stop")
	}
}

// Ctrl-C in the middle of the work leaves no file and no report.
func TestInterruptedAtWork(t *testing.T) {
	dir := t.TempDir()
	for _, after := range []time.Duration{0, 20 * time.Millisecond, 200 * time.Millisecond} {
		ctx, cancel := context.WithTimeoutCause(context.Background(), after, context.Canceled)
		var out, err bytes.Buffer
		status := runContext(ctx, []string{"plan", "../../testdata/heron.ply", "--png", filepath.Join(dir, "new", "h.png"), "--repaired", filepath.Join(dir, "h.stl")}, strings.NewReader(""), &out, &err)
		cancel()
		if status != exitInterrupted || out.Len() > 0 {
			t.Errorf("after %v: status %d, %d bytes on stdout, stderr %q; want 130 and nothing", after, status, out.Len(), err.String())
		}
		if es, _ := os.ReadDir(dir); len(es) > 0 {
			t.Errorf("after %v: %v is left", after, es)
		}
	}
}

func TestSpool(t *testing.T) {
	for _, n := range []int{0, 1, 1 << 20, 3<<20 + 7} {
		data := bytes.Repeat([]byte("mold"), n/4+1)[:n]
		r, size, done, err := spool(context.Background(), bytes.NewReader(data))
		if err != nil || size != int64(n) {
			t.Fatalf("%d bytes: size %d, %v", n, size, err)
		}
		got := make([]byte, n)
		if _, err := r.ReadAt(got, 0); err != nil && err != io.EOF || !bytes.Equal(got, data) {
			t.Errorf("%d bytes: read back otherwise (%v)", n, err)
		}
		done()
	}
	if _, _, _, err := spool(context.Background(), io.MultiReader(strings.NewReader("x"), broken{})); err == nil {
		t.Error("a broken stdin gives no error")
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("the cable is out") }

// Every number of "materials --json" says where it was had: it stands in an
// object with a source, or its key has a sibling ending in _source. The shape of
// the answer itself (schema) is no figure.
func TestMaterialsHaveSources(t *testing.T) {
	data, err := json.Marshal(newCatalogue(nil))
	if err != nil {
		t.Fatal(err)
	}
	figures, missing := unsourced(t, data)
	if len(missing) > 0 {
		t.Errorf("no source: %s", strings.Join(missing, ", "))
	}
	if figures < 700 {
		t.Errorf("only %d figures looked at", figures)
	}
	// The test itself: a source taken away is missed, wherever it stood.
	for _, was := range []string{`"source":"from memory"`, `"source":"common practice, no source"`, `"source":"nominal; scale of ASTM D2240"`, `"at_temperature_source":"` + rubber.StandardTempSource + `"`} {
		less := strings.Replace(string(data), was, strings.Replace(was, `":"`, `":"","was":"`, 1), 1)
		if _, missing := unsourced(t, []byte(less)); less == string(data) || len(missing) == 0 {
			t.Errorf("%s can be taken away unnoticed", was)
		}
	}
	// Words that are judged by have a source too.
	for _, p := range material.Patterns() {
		if p.CureSource == "" {
			t.Errorf("%s: no source for its cure", p.Name)
		}
		if (len(p.Never) > 0 || p.Untouchable) && p.NeverSource == "" {
			t.Errorf("%s: no source for what is never put on it", p.Name)
		}
	}
}

// unsourced counts the numbers of an answer and names those without a source.
func unsourced(t *testing.T, data []byte) (figures int, missing []string) {
	t.Helper()
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch x := v.(type) {
		case map[string]any:
			own, _ := x["source"].(string)
			for k, w := range x {
				n, isNumber := w.(float64)
				if !isNumber || path == "" && k == "schema" {
					walk(path+"."+k, w)
					continue
				}
				figures++
				stem := k
				for _, unit := range []string{"_C", "_mm", "_pct"} {
					stem = strings.TrimSuffix(stem, unit)
				}
				if beside, _ := x[stem+"_source"].(string); own == "" && beside == "" {
					missing = append(missing, fmt.Sprintf("%s.%s = %g", path, k, n))
				}
			}
		case []any:
			for i, w := range x {
				if n, ok := w.(float64); ok {
					figures++
					missing = append(missing, fmt.Sprintf("%s.%d = %g", path, i, n))
				}
				walk(fmt.Sprintf("%s.%d", path, i), w)
			}
		}
	}
	walk("", v)
	slices.Sort(missing)
	return figures, missing
}
