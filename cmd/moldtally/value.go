package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// value is a pflag.Value over a parser: the text as typed, and a setter that
// reads it. Errors are usage errors with what would be accepted as the hint.
type value struct {
	typ     string // what stands for it in help: LENGTH, FILE …
	text    string // as typed
	set     func(s string) error
	choices []string        // the only words taken; offered by completion
	offer   func() []string // words that completion offers, where others are taken too
}

func (v *value) String() string { return v.text }
func (v *value) Type() string   { return v.typ }

func (v *value) Set(s string) error {
	if err := v.set(s); err != nil {
		return err
	}
	v.text = s
	return nil
}

// badValue is a flag's value that cannot be read.
type badValue struct{ what, reason, accept string }

func (e *badValue) Error() string { return e.what + ": " + e.reason }

func parseFailure(err error) error {
	var pe *unit.ParseError
	if errors.As(err, &pe) {
		return &badValue{"is not " + pe.What, pe.Reason, pe.Accept}
	}
	return err
}

// parsed is a value that one of unit's parsers reads and keep takes or refuses.
func parsed[Q any](typ string, parse func(string) (Q, error), keep func(Q) error) *value {
	return &value{typ: typ, set: func(s string) error {
		q, err := parse(s)
		if err != nil {
			return parseFailure(err)
		}
		return keep(q)
	}}
}

func notPositive(what, accept string) error {
	return &badValue{"is not " + what, "it must be more than zero", accept}
}

// quantity is a measure of one kind, which may be zero only where zero is set.
func quantity[Q ~float64](typ, what, accept string, parse func(string) (Q, error), zero bool, keep func(float64)) *value {
	return parsed(typ, parse, func(q Q) error {
		if q <= 0 && !zero {
			return notPositive(what, accept)
		}
		keep(float64(q))
		return nil
	})
}

// into keeps a number where it is wanted, or left nil.
func into(dst **float64) func(float64) { return func(f float64) { *dst = &f } }

func lengthValue(dst **float64, zero bool) *value {
	return quantity("LENGTH", "a length", unit.AcceptLength, unit.ParseLength, zero, into(dst))
}

func massValue(dst **float64, zero bool) *value {
	return quantity("MASS", "a mass", unit.AcceptMass, unit.ParseMass, zero, into(dst))
}

func volumeValue(dst **float64, zero bool) *value {
	return quantity("VOLUME", "a volume", unit.AcceptVolume, unit.ParseVolume, zero, into(dst))
}

func sizesValue(typ string, dst **[3]float64) *value {
	return parsed(typ, unit.ParseTriple, func(t [3]unit.Length) error {
		if slices.Min(t[:]) <= 0 {
			return notPositive("three lengths", unit.AcceptTriple)
		}
		*dst = &[3]float64{float64(t[0]), float64(t[1]), float64(t[2])}
		return nil
	})
}

func pairValue(dst **[2]float64) *value {
	return parsed("D,H", unit.ParsePair, func(t [2]unit.Length) error {
		if slices.Min(t[:]) <= 0 {
			return notPositive("two lengths", unit.AcceptPair)
		}
		*dst = &[2]float64{float64(t[0]), float64(t[1])}
		return nil
	})
}

// Workshop temperatures that can be meant. Outside them one of the two scales
// was mistaken for the other; own choice, no source.
const coldest, hottest = -20, 80

func temperatureValue(dst **float64) *value {
	return parsed("TEMP", unit.ParseTemperature, func(t unit.Temperature) error {
		if t < coldest || t > hottest {
			return &badValue{"is not a temperature to work rubber at", fmt.Sprintf("it is %.0f °C; %d to %d °C are taken", float64(t), coldest, hottest), unit.AcceptTemperature}
		}
		*dst = new(float64(t))
		return nil
	})
}

// exactly writes a limit, never with an exponent.
func exactly(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func percentValue(dst **float64, most float64) *value {
	return parsed("PCT", unit.ParsePercent, func(p float64) error {
		if p > most {
			return &badValue{"is not a percentage to be meant", fmt.Sprintf("it is above %s %%", exactly(most)), unit.AcceptPercent}
		}
		*dst = &p
		return nil
	})
}

// numberValue is a number above lo and up to hi.
func numberValue(dst **float64, lo, hi float64, accept string) *value {
	return parsed("F", unit.ParseNumber, func(n float64) error {
		if n <= lo || n > hi {
			return &badValue{"is out of range", fmt.Sprintf("it must be more than %s and at most %s", exactly(lo), exactly(hi)), accept}
		}
		*dst = &n
		return nil
	})
}

// priceValue is an amount of money, zero or more, without a currency.
func priceValue(dst **money.Amount) *value {
	const accept = "24.90 (the currency is named by --currency)"
	return &value{typ: "PRICE", set: func(s string) error {
		n, err := unit.ParseNumber(s)
		if err != nil {
			return &badValue{"is not a price", parseFailure(err).(*badValue).reason, accept}
		}
		a, err := money.FromFloat(n)
		if err != nil || a < 0 {
			return &badValue{"is not a price", "it must be zero or more, and not too large", accept}
		}
		*dst = &a
		return nil
	}}
}

func ratioValue(dst **[2]float64) *value {
	return parsed("A:B", unit.ParseRatio, func(r [2]float64) error {
		*dst = &r
		return nil
	})
}

func directionValue(dst **mesh.Vec) *value {
	return parsed("X,Y,Z", unit.ParseDirection, func(d [3]float64) error {
		*dst = &mesh.Vec{X: d[0], Y: d[1], Z: d[2]}
		return nil
	})
}

func upValue(dst *estimate.Up) *value {
	var dir *mesh.Vec
	along := directionValue(&dir)
	return &value{typ: "SIDE", set: func(s string) error {
		if strings.EqualFold(strings.TrimSpace(s), "auto") {
			*dst = estimate.Up{Auto: true}
			return nil
		}
		if err := along.set(s); err != nil {
			b := err.(*badValue)
			b.accept = "auto " + b.accept
			return b
		}
		*dst = estimate.Up{Dir: *dir}
		return nil
	}}
}

// choiceValue is one word of a list; auto leaves the choice open.
func choiceValue[T ~string](typ string, dst *T, choices ...string) *value {
	return &value{typ: typ, choices: choices, set: func(s string) error {
		w := strings.ToLower(strings.TrimSpace(s))
		if !slices.Contains(choices, w) {
			e := &badValue{"is not one of the choices", "", strings.Join(choices, " ")}
			if near := words.Nearest(w, choices); near != "" {
				e.reason = "did you mean " + near + "?"
			}
			return e
		}
		if w == "auto" {
			w = ""
		}
		*dst = T(w)
		return nil
	}}
}

func countValue(dst *int) *value {
	return &value{typ: "N", set: func(s string) error {
		n, err := strconv.Atoi(strings.NewReplacer("_", "", " ", "").Replace(s))
		if err != nil || n < 1 {
			return &badValue{"is not a count", "it must be a whole number from 1", "1 25 1000000"}
		}
		*dst = n
		return nil
	}}
}

// mostCopies is the largest number of castings that is priced.
const mostCopies = 1_000_000

// copiesValue is how many castings are wanted, or several such numbers that are
// priced beside each other, of which the last is the job's.
func copiesValue(copies *int, breaks *[]int, several bool) *value {
	typ, accept := "N", "1 25 1000"
	if several {
		typ, accept = "N,N…", "1 25 or 1,10,50"
	}
	return &value{typ: typ, set: func(s string) error {
		list := strings.Split(s, ",")
		if len(list) > 1 && !several {
			return &badValue{"is not a count", "quote alone takes several at once", accept}
		}
		var all []int
		for _, x := range list {
			n, err := strconv.Atoi(strings.NewReplacer("_", "", " ", "").Replace(x))
			if err != nil || n < 1 || n > mostCopies {
				return &badValue{"is not a count", "it must be a whole number from 1 to 1 000 000", accept}
			}
			all = append(all, n)
		}
		*copies = all[len(all)-1]
		if several {
			*breaks = all
		}
		return nil
	}}
}

func textValue(typ string, dst *string) *value {
	return &value{typ: typ, set: func(s string) error {
		if strings.TrimSpace(s) == "" {
			return &badValue{"is empty", "a name is wanted", strings.ToLower(typ)}
		}
		*dst = s
		return nil
	}}
}

// linesValue is a text of one or more lines, parted by semicolons.
func linesValue(dst *[]string) *value {
	return &value{typ: "LINES", set: func(s string) error {
		lines := estimate.LinesOf(s)
		if len(lines) == 0 {
			return &badValue{"is empty", "one line or more are wanted", "\"A. Client; 1 Street; Town\""}
		}
		*dst = lines
		return nil
	}}
}

// nameValue is a name out of a table, which completion offers.
func nameValue(dst *string, offer func() []string) *value {
	v := textValue("NAME", dst)
	v.offer = offer
	return v
}

func fileValue(dst *string) *value {
	return &value{typ: "FILE", set: func(s string) error {
		switch s {
		case "":
			return &badValue{"is empty", "a file name is wanted", "a file name"}
		case "-":
			return &badValue{"is no file name", "only the report goes to stdout", "a file name"}
		}
		*dst = s
		return nil
	}}
}

// currencyValue is a short name or sign of money.
func dateValue(dst *rubber.Date) *value {
	return &value{typ: "DAY", set: func(s string) error {
		d, ok := rubber.ParseDate(strings.TrimSpace(s))
		if !ok {
			return &badValue{"is no day", "year, month and day are wanted", "2026-03-09"}
		}
		*dst = d
		return nil
	}}
}

func currencyValue(dst *string) *value {
	return &value{typ: "NAME", set: func(s string) error {
		t := strings.TrimSpace(s)
		if n := len([]rune(t)); n < 1 || n > 8 || strings.ContainsAny(t, "\n\r\t\x1b") {
			return &badValue{"is not a currency", "one to eight letters are wanted", "EUR USD kr"}
		}
		*dst = t
		return nil
	}}
}
