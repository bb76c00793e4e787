// Package finding holds what moldtally has to tell a mold maker as facts: a
// code, how much it matters, where it is and typed quantities. Facts hold no
// prose; render/words makes the sentences of them, for a system of units.
package finding

import (
	"fmt"
	"sort"
)

// Severity says how much a finding matters for the pour.
type Severity int

// Severities, least first.
const (
	Note    Severity = iota // good to know
	Caution                 // a figure or a step needs a second look
	Stop                    // pouring as planned ruins the mold
)

// String returns note, caution or stop.
func (s Severity) String() string {
	switch s {
	case Note:
		return "note"
	case Caution:
		return "caution"
	case Stop:
		return "stop"
	}
	return fmt.Sprintf("severity %d", int(s))
}

// MarshalText writes the severity as its word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Code names a kind of finding; it is stable, for scripts: stage.what, in
// lower case. Each package declares the codes of what it finds.
type Code string

// Finding is one warning.
type Finding struct {
	Code     Code
	Severity Severity
	At       *[3]float64 // mm in the file's own frame; nil = nowhere in particular
	// Of is the file of the pattern that it is about, where a plan is of several; "" =
	// of all of them, or of the only one.
	Of string
	// Facts is a plain struct declared beside the code, always the same type
	// for one code. render/words makes what is so, what it does to the pour
	// and what to do of it.
	Facts any
}

// Remark is one phrase or sentence of a plan (a repair, a reason, a caution, a
// step) as facts; the type of Facts says which. The zero Remark is no words.
type Remark struct{ Facts any }

// List is a set of findings.
type List []Finding

// Add appends a finding.
func (l *List) Add(f Finding) { *l = append(*l, f) }

// Has reports whether a finding with the code is in the list.
func (l List) Has(c Code) bool {
	for _, f := range l {
		if f.Code == c {
			return true
		}
	}
	return false
}

// Worst returns the highest severity in the list, and false if it is empty.
func (l List) Worst() (Severity, bool) {
	w := Note
	for _, f := range l {
		w = max(w, f.Severity)
	}
	return w, len(l) > 0
}

// Sort puts the worst first, then by code, keeping the order of equals, so
// that output never depends on which goroutine found what first.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		if l[i].Severity != l[j].Severity {
			return l[i].Severity > l[j].Severity
		}
		return l[i].Code < l[j].Code
	})
}
