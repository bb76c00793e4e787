package words

import (
	"errors"
	"reflect"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Told is a finding in words.
type Told struct {
	Summary string // what is so
	Effect  string // what it does to the pour
	Hint    string // what to do
}

// Fault is an error in words.
type Fault struct {
	Told
	Input bool // what was asked for is wrong, and not the pattern or the job
}

// Manner is how facts are put in words. The zero value is metric, with places by
// the file's own axes.
type Manner struct {
	System unit.System
	Seen   Seen // nil = places and directions are told by the file's axes
}

// Seen tells places, in mm, and directions, unit vectors, both in the file's own
// axes, as somebody sees them who looks at the pattern: "the left, half way up"
// and "front left".
type Seen interface {
	Place(p [3]float64) string
	Side(d [3]float64) string
}

func (m Manner) voice() voice { return voice{m.System == unit.US, allRemarks, allFindings, m.Seen} }

// Tell puts a finding in words.
func (m Manner) Tell(f finding.Finding) Told { return m.voice().tell(f) }

// Say puts a remark in words.
func (m Manner) Say(r finding.Remark) string { return m.voice().say(r) }

// Tell puts a finding in words.
func Tell(f finding.Finding, s unit.System) Told { return newVoice(s).tell(f) }

// Say puts a remark in words.
func Say(r finding.Remark, s unit.System) string { return newVoice(s).say(r) }

// Knows reports whether facts are those of a remark, so that Say has words for
// them where they stand in a plan by themselves.
func Knows(facts any) bool {
	_, ok := allRemarks[reflect.TypeOf(facts)]
	return ok
}

// Explain puts an error in words; ok is false where its type has none here.
func Explain(err error, s unit.System) (f Fault, ok bool) {
	for _, e := range allFaults {
		if f, ok = e(newVoice(s), err); ok {
			return f, true
		}
	}
	return Fault{}, false
}

// The tables, each in the file of its area.
var (
	allFindings = merge(
		fileFindings,
		solidFindings,
		stripFindings,
		demoldFindings,
		airFindings,
		containerFindings,
		estimateFindings,
		rubberFindings,
		moldFindings,
		methodFindings,
		castingFindings,
		tunnelFindings,
		gangFindings,
	)
	allRemarks = index(
		solidRemarks,
		containerRemarks,
		poseRemarks,
		estimateRemarks,
		verdictRemarks,
		jobRemarks,
		methodRemarks,
		hardnessRemarks,
		moldRemarks,
		workRemarks,
		moneyRemarks,
		shopRemarks,
		gangRemarks,
	)
	allFaults = concat(
		gangFaults,
		fileFaults,
		solidFaults,
		requestFaults,
		estimateFaults,
		shopFaults,
	)
)

// findings is a table of codes with their words.
type findings map[finding.Code]telling

// telling makes words of facts of one type.
type telling struct {
	facts reflect.Type
	tell  func(v voice, facts any) Told
}

// tells is an entry of findings.
func tells[F any](tell func(v voice, f F) Told) telling {
	return telling{reflect.TypeFor[F](), func(v voice, f any) Told { return tell(v, f.(F)) }}
}

// saying makes a phrase of facts of one type.
type saying struct {
	facts reflect.Type
	say   func(v voice, facts any) string
}

// says is an entry of a table of remarks.
func says[F any](say func(v voice, f F) string) saying {
	return saying{reflect.TypeFor[F](), func(v voice, f any) string { return say(v, f.(F)) }}
}

// fault makes words of an error where it is, or wraps, one of its type.
type fault func(v voice, err error) (Fault, bool)

// faults is an entry of a table of errors.
func faults[E error](explain func(v voice, e E) Fault) fault {
	return func(v voice, err error) (Fault, bool) {
		var e E
		if !errors.As(err, &e) {
			return Fault{}, false
		}
		return explain(v, e), true
	}
}

// means is an entry of a table of errors for one that carries nothing.
func means(sentinel error, f Fault) fault {
	return func(_ voice, err error) (Fault, bool) { return f, errors.Is(err, sentinel) }
}

// merge joins tables of findings; a code stands in one of them only.
func merge[T ~map[K]V, K comparable, V any](tables ...T) T {
	all := T{}
	for _, t := range tables {
		for k, v := range t {
			if _, twice := all[k]; twice {
				panic("words: two entries for one code")
			}
			all[k] = v
		}
	}
	return all
}

// index joins tables of remarks.
func index(tables ...[]saying) map[reflect.Type]saying {
	all := map[reflect.Type]saying{}
	for _, t := range tables {
		for _, s := range t {
			if _, twice := all[s.facts]; twice {
				panic("words: two entries for " + s.facts.String())
			}
			all[s.facts] = s
		}
	}
	return all
}

// concat joins tables of errors; the first that matches counts.
func concat(tables ...[]fault) []fault {
	var all []fault
	for _, t := range tables {
		all = append(all, t...)
	}
	return all
}
