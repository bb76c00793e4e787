// Package finding holds what moldtally has to tell a mold maker: warnings as
// data, worded once and shown everywhere (terminal, JSON, pages).
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

// Code names a kind of finding; it is stable, for scripts. All codes stand in
// codes.go.
type Code string

// Finding is one warning: what is so, what it does to the pour, what to do.
type Finding struct {
	Code     Code        `json:"code"`
	Severity Severity    `json:"severity"`
	Summary  string      `json:"summary"` // what is so
	Effect   string      `json:"effect"`  // what it does to the pour
	Hint     string      `json:"hint"`    // what to do
	At       *[3]float64 `json:"at_mm,omitempty"`
}

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
