package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// What a command has to say goes to two places. The report, and nothing else,
// goes to stdout, whole or not at all. Everything else goes to stderr: each
// line begins with the program's name and a kind (error, stop, caution, note,
// effect, hint, warnings), in lower case and without a final period, so that it can be
// searched. Progress is drawn on stderr only where that is a terminal, on one
// line that is wiped before anything else is written.

// Exit statuses.
const (
	exitOK          = 0
	exitFailed      = 1   // a pattern or the job failed
	exitUsage       = 2   // the command line is wrong
	exitStop        = 3   // done, but with --strict and an open stop
	exitInterrupted = 130 // Ctrl-C
)

// usageError is a command line that cannot be meant: exit 2.
type usageError struct{ summary, hint string }

func (e *usageError) Error() string { return e.summary }

func usagef(hint, format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...), hint}
}

// failure is a job that cannot be done, in three parts: exit 1.
type failure struct{ summary, effect, hint string }

func (e *failure) Error() string { return e.summary }

// ui talks to the user.
type ui struct {
	in       io.Reader
	out, err io.Writer
	system   unit.System
	quiet    bool // no warnings, no progress; errors are always told

	mu    sync.Mutex
	stage string
	done  int
	total int
	drawn int // columns of the progress line on the screen
	// Where several patterns are in work at a time, how many of them are done is told
	// and not the stage of any.
	several, finished int

	writing sync.Mutex // files of one pattern at a time
}

func newUI(in io.Reader, out, err io.Writer) *ui { return &ui{in: in, out: out, err: err} }

// terminal returns the file behind w where it is a terminal.
func terminal(w any) (*os.File, bool) {
	f, ok := w.(*os.File)
	return f, ok && term.IsTerminal(int(f.Fd()))
}

// width is the width of the terminal that w is, within what reads well, or 80.
func width(w any) int {
	if f, ok := terminal(w); ok {
		if n, _, err := term.GetSize(int(f.Fd())); err == nil {
			return min(max(n, 48), 100)
		}
	}
	return 80
}

// color says whether w wants colors: a terminal that is not a plain one. The
// NO_COLOR variable is a common convention.
func color(w any) bool {
	_, ok := terminal(w)
	return ok && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

// ascii says whether w is a terminal whose locale has no UTF-8: the first of the three
// variables that is set decides (POSIX.1-2017, section 8.2).
func ascii(w any) bool {
	if _, ok := terminal(w); !ok {
		return false
	}
	return asciiLocale(os.Getenv("LC_ALL"), os.Getenv("LC_CTYPE"), os.Getenv("LANG"))
}

func asciiLocale(vars ...string) bool {
	for _, v := range vars {
		if v != "" {
			v = strings.ToUpper(v)
			return !strings.Contains(v, "UTF-8") && !strings.Contains(v, "UTF8")
		}
	}
	return false
}

// say writes one line to stderr.
func (u *ui) say(kind, text string) {
	text = strings.TrimRight(strings.TrimSpace(text), ".")
	if text == "" {
		return
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.wipe()
	fmt.Fprintf(u.err, "moldtally: %s: %s\n", kind, strings.ReplaceAll(text, "\n", " "))
}

// finding tells a warning in its three parts. file names the pattern where
// there are several.
func (u *ui) finding(file string, f finding.Finding) {
	if u.quiet {
		return
	}
	told := words.Tell(f, u.system)
	s := told.Summary
	if file != "" && !strings.Contains(s, file) {
		s = file + ": " + s
	}
	if f.At != nil && !strings.Contains(s, "near x") {
		s = strings.TrimRight(s, ".") + fmt.Sprintf(" (near x %.0f, y %.0f, z %.0f mm)", f.At[0]+0, f.At[1]+0, f.At[2]+0)
	}
	u.say(f.Severity.String(), s)
	u.say("effect", told.Effect)
	u.say("hint", told.Hint)
}

// counted tells how many warnings of each kind there are, and where they are told;
// file names the pattern where there are several.
func (u *ui) counted(file string, found finding.List, where string) {
	var n [finding.Stop + 1]int
	for _, f := range found {
		n[f.Severity]++
	}
	if u.quiet || len(found) == 0 {
		return
	}
	var parts []string
	for s := finding.Stop; s >= finding.Note; s-- {
		if n[s] > 0 {
			parts = append(parts, figure.Count(n[s], s.String(), s.String()+"s"))
		}
	}
	if file != "" {
		file += ": "
	}
	u.say("warnings", strings.ReplaceAll(file+strings.Join(parts, ", ")+where, figure.NBSP, " "))
}

// note tells something good to know.
func (u *ui) note(format string, args ...any) {
	if !u.quiet {
		u.say("note", fmt.Sprintf(format, args...))
	}
}

// fail tells an error and returns the exit status it stands for. file names
// the pattern where there are several.
func (u *ui) fail(file string, err error) int {
	if errors.Is(err, context.Canceled) {
		u.say("error", "stopped before the end; nothing was written")
		return exitInterrupted
	}
	summary, effect, hint, status := explain(err, u.system)
	if file != "" && !strings.Contains(summary, file) {
		summary = file + ": " + summary
	}
	u.say("error", summary)
	u.say("effect", effect)
	u.say("hint", hint)
	return status
}

// explain puts an error in words.
func explain(err error, system unit.System) (summary, effect, hint string, status int) {
	var ue *usageError
	var fe *failure
	switch {
	case errors.As(err, &ue):
		return ue.summary, "", ue.hint, exitUsage
	case errors.As(err, &fe):
		return fe.summary, fe.effect, fe.hint, exitFailed
	}
	if f, ok := words.Explain(err, system); ok {
		status = exitFailed
		if f.Input {
			status = exitUsage
		}
		return f.Summary, f.Effect, f.Hint, status
	}
	return trimPackages(err.Error()), "", "", exitFailed
}

// trimPackages takes the packages' prefixes off a library's message.
func trimPackages(s string) string {
	for {
		cut := false
		for _, p := range []string{"estimate", "meshfile", "mesh", "solid", "demold", "boxfit", "rubber", "render", "material", "casting", "money", "schedule", "conf", "dexel", "unit", "shop"} {
			if r, ok := strings.CutPrefix(s, p+": "); ok {
				s, cut = r, true
			}
		}
		if !cut {
			return s
		}
	}
}

// progressAfter and progressEvery keep short jobs silent and long ones calm.
const (
	progressAfter = 700 * time.Millisecond
	progressEvery = 150 * time.Millisecond
)

// startProgress begins drawing on a timer, on a terminal only; the engine
// itself only counts. The returned function ends it and wipes the line.
func (u *ui) startProgress() (stop func()) {
	if _, ok := terminal(u.err); !ok || u.quiet {
		return func() {}
	}
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		select {
		case <-time.After(progressAfter):
		case <-end:
			return
		}
		t := time.NewTicker(progressEvery)
		defer t.Stop()
		for {
			u.mu.Lock()
			u.draw()
			u.mu.Unlock()
			select {
			case <-t.C:
			case <-end:
				u.mu.Lock()
				u.wipe()
				u.mu.Unlock()
				return
			}
		}
	}()
	return func() { close(end); <-ended }
}

// progress notes how far a stage is.
func (u *ui) progress(stage string, done, total int) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.several == 0 {
		u.stage, u.done, u.total = stage, done, total
	}
}

// count begins to count patterns; of one its stages are told.
func (u *ui) count(patterns int) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if patterns > 1 {
		u.several = patterns
		u.stage = fmt.Sprintf("0 of %d patterns", patterns)
	}
}

// countOne counts a pattern that is done.
func (u *ui) countOne() {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.several > 0 {
		u.finished++
		u.stage = fmt.Sprintf("%d of %d patterns", u.finished, u.several)
	}
}

func (u *ui) draw() {
	if u.stage == "" {
		return
	}
	s := "moldtally: " + u.stage
	if u.total > 0 {
		s += fmt.Sprintf(" %3d %%", int(100*min(1, float64(u.done)/float64(u.total))))
	}
	n := len(s)
	fmt.Fprintf(u.err, "\r%s%s", s, strings.Repeat(" ", max(0, u.drawn-n)))
	u.drawn = n
}

func (u *ui) wipe() {
	if u.drawn > 0 {
		fmt.Fprintf(u.err, "\r%s\r", strings.Repeat(" ", u.drawn))
		u.drawn = 0
	}
}
