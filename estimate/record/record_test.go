package record

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
)

// pours are poured ones that lost so many per cent of 1000 g.
func pours(pct ...float64) (l Log) {
	for _, p := range pct {
		l = append(l, Pour{Mold: "block", Rubber: "r", Family: "tin", Needed: 1000, ToMix: 1080, Mixed: 1000 + 10*p})
	}
	return l
}

// Four of five stay within the fourth: an order statistic, by hand.
func TestLoss(t *testing.T) {
	for _, c := range []struct {
		l    Log
		want float64
		of   int
	}{
		{pours(6, 9, 4, 12), 0, 0},
		{pours(6, 9, 4, 12, 7), 0.09, 5},
		{pours(-3, -1, -2, -5, -4), 0, 5},                // under what the mold holds: nothing is allowed for
		{pours(1, 2, 3, 4, 5, 6, 7, 8, 9, 10), 0.08, 10}, // eight of ten
		{append(pours(50, 50, 50, 50, 50, 50, 50, 50, 50), pours(make([]float64, 20)...)...), 0, 20}, // the latest twenty
		{append(pours(6, 9, 4, 12), Pour{Mold: "brushed", Needed: 1000, Mixed: 1300}), 0, 0},         // brushing is not pouring
		{append(pours(6, 9, 4, 12), Pour{Mold: "block", Needed: 1000, Made: 4}), 0, 0},               // nothing was weighed
		{pours(6, 9, 4, 900, 900), 2, 5},
	} {
		got, of := c.l.Loss(false)
		if math.Abs(got-c.want) > 1e-12 || of != c.of {
			t.Errorf("%v: %g of %d, want %g of %d", c.l, got, of, c.want, c.of)
		}
	}
	p := Pour{Needed: 1287, Mixed: 1450, Left: 60}
	if got := p.Loss(); math.Abs(got-(1390.0/1287-1)) > 1e-12 {
		t.Errorf("1390 g of 1287 g: %g", got)
	}
}

// A life is known where the mold did not just give what was wanted.
func TestWear(t *testing.T) {
	var l Log
	for _, made := range []int{30, 20, 25, 40, 35} {
		l = append(l, Pour{Family: "tin", Cast: "plaster", Asked: 50, Usual: 50, Made: made})
	}
	w, ok := l.Wear("plaster", "tin")
	if want := (Wear{0.4, 0.6, 0.7, 5}); !ok || w != want {
		t.Errorf("got %v, want %v", w, want)
	}
	l[0].Made = 50 // as many as were wanted: it may give more
	if _, ok := l.Wear("plaster", "tin"); ok {
		t.Error("four lives are no experience")
	}
	l[0].WornOut = true
	if w, _ := l.Wear("plaster", "tin"); w.High != 0.8 || w.Mid != 0.7 {
		t.Errorf("with one worn out at 50: %v", w)
	}
	if _, ok := l.Wear("resin", "tin"); ok {
		t.Error("another casting's lives were taken")
	}
	if got := l.Wears(); len(got) != 1 || got[0].Cast != "plaster" {
		t.Errorf("all that are known: %v", got)
	}
}

func TestReadsWhatItWrites(t *testing.T) {
	want := Log{
		{Date: "2026-03-09", File: "a, \"b\".stl", Mold: "block", Rubber: "r", Family: "tin", Needed: 463.3, ToMix: 500.3, Mixed: 520, Left: 12.5, Cast: "resin", Asked: 40, Usual: 75, Made: 34},
		{Mold: "brushed", Rubber: "s", Family: "platinum", Needed: 10, ToMix: 12, Made: 3, WornOut: true},
	}
	text := Heading()
	for _, p := range want {
		text += p.Line()
	}
	got, err := Read(strings.NewReader(text))
	if err != nil || len(got) != len(want) || got[0] != want[0] || got[1] != want[1] {
		t.Fatalf("%v\nread as %v\n%v", text, got, err)
	}
	if l, err := Read(strings.NewReader("")); l != nil || err != nil {
		t.Errorf("an empty log: %v, %v", l, err)
	}
	if s := (Pour{File: "=1+1"}).Line(); strings.Contains(s, ",=") {
		t.Errorf("a file's name is a formula in a spreadsheet: %s", s)
	}
}

func TestFaults(t *testing.T) {
	line := "2026-03-09,a,block,r,tin,100,108,110,0,,,,,\n"
	for _, c := range []struct {
		text   string
		wrong  Wrong
		line   int
		column string
	}{
		{"pattern,mass\n", NoHeading, 1, ""},
		{Heading() + line + strings.Replace(line, "110", "11o", 1), NoNumber, 3, "mixed_g"},
		{Heading() + strings.Replace(line, "110,0", "110,111", 1), NoNumber, 2, "left_g"},
		{Heading() + strings.Replace(line, ",100,", ",NaN,", 1), NoNumber, 2, "needed_g"},
		{Heading() + strings.Replace(line, ",,,,,", ",,,,,perhaps", 1), NoAnswer, 2, "worn_out"},
		{Heading() + "a,b\n", Unread, 2, ""},
	} {
		_, err := Read(strings.NewReader(c.text))
		var f *Fault
		if !errors.As(err, &f) || f.Wrong != c.wrong || f.Line != c.line || f.Column != c.column {
			t.Errorf("%q: %v", c.text, err)
		}
	}
	if _, err := Read(strings.NewReader(Heading() + strings.Repeat(line, MostLog/len(line)+2))); err == nil {
		t.Error("a log larger than any is read")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(Heading() + "2026-03-09,a,block,r,tin,100,108,110,0,,,,,\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		l, err := Read(bytes.NewReader(b))
		if err != nil {
			return
		}
		text := Heading()
		for _, p := range l {
			text += p.Line()
		}
		if again, err := Read(strings.NewReader(text)); err != nil || len(again) != len(l) {
			t.Errorf("what was read is not read again: %v", err)
		}
		l.Loss(false)
		l.Wears()
	})
}
