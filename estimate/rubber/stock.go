package rubber

import (
	"fmt"
	"strconv"
	"strings"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Stock is what a shop has of a rubber. What is not said is nil or zero.
type Stock struct {
	Left          *float64 // g, of both parts together
	Lot           string
	Opened, UseBy Date
}

// Date is a day of the calendar; the zero value is none.
type Date struct{ Year, Month, Day int }

// ParseDate reads a day as 2026-03-09. A text that is no day of the calendar gives
// false.
func ParseDate(s string) (Date, bool) {
	f := strings.Split(s, "-")
	if len(f) != 3 || len(f[0]) != 4 || len(f[1]) != 2 || len(f[2]) != 2 {
		return Date{}, false
	}
	var n [3]int
	for i := range f {
		v, err := strconv.Atoi(f[i])
		if err != nil || v < 1 || f[i][0] == '+' {
			return Date{}, false
		}
		n[i] = v
	}
	d := Date{n[0], n[1], n[2]}
	return d, d.Month <= 12 && d.Day <= d.lastOfMonth()
}

// lastOfMonth is the number of days of a month in the Gregorian calendar.
func (d Date) lastOfMonth() int {
	switch d.Month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if d.Year%4 == 0 && d.Year%100 != 0 || d.Year%400 == 0 {
			return 29
		}
		return 28
	}
	return 31
}

// IsZero reports whether no day was said.
func (d Date) IsZero() bool { return d == Date{} }

// String writes a day as 2026-03-09, and none as nothing.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// Before reports whether a day comes before another; none comes before no day.
func (d Date) Before(e Date) bool {
	return !d.IsZero() && !e.IsZero() && d.String() < e.String()
}

// after is the same day some months later, or the last of that month.
func (d Date) after(months int) Date {
	m := d.Month - 1 + months
	out := Date{d.Year + m/12, m%12 + 1, d.Day}
	out.Day = min(out.Day, out.lastOfMonth())
	return out
}

// staleMonths is how long an opened can of polyurethane is used without a word:
// it takes up the moisture of the air. From memory.
const staleMonths = 3

// testCupCures is how many times its usual time an old rubber may take to cure in
// a test cup before it is out. Judgement of this program.
const testCupCures = 1.5

// Age is what to know of a rubber that has stood on a shelf, judged for a day; the
// zero day judges nothing. left says that a rest is to be used. Nothing comes of a
// rubber of which no date and no rest is said.
func Age(r Rubber, today Date, left bool) (out finding.List) {
	s := r.Stock
	if !left && s.Opened.IsZero() && s.UseBy.IsZero() {
		return nil
	}
	f := OldStock{Name: r.Name, Family: r.Family, Lot: s.Lot, Opened: s.Opened, UseBy: s.UseBy, Today: today}
	if r.Demold != nil {
		f.Cured = testCupCures * r.Demold.Value
	}
	if r.ShoreA != nil {
		f.Shore = r.ShoreA.Value
	}
	f.Past = s.UseBy.Before(today)
	f.Stale = r.Family == material.Polyurethane && !s.Opened.IsZero() && s.Opened.after(staleMonths).Before(today)
	severity := finding.Note
	if left || !s.Opened.IsZero() || f.Past {
		severity = finding.Caution
	}
	out.Add(finding.Finding{Code: CodeTestCup, Severity: severity, Facts: f})
	return out
}

// stocked tells whether the shop has the rubber that was chosen, and of a rest of
// rubber that is to be used whether it can be.
func (c *Chosen) stocked(q Request, n Needs) (out finding.List) {
	left := q.Have != nil
	if left && q.Auto() && (q.BySheet() || len(n.Own) != 1) {
		w := WhichLeftover{Have: unit.Mass(*q.Have)}
		for _, r := range n.Own {
			w.Stock = append(w.Stock, r.Name)
		}
		out.Add(finding.Finding{Code: CodeWhich, Severity: finding.Stop, Facts: w})
		left = false
	}
	switch {
	case (left || !c.Sheet) && c.Family == "":
		out.Add(finding.Finding{Code: CodeUnknown, Severity: finding.Stop, Facts: UnknownLeftover{c.Name}})
	case !c.Own && len(n.Own) > 0 && !left:
		f := NotOwned{Name: c.Name, Asked: !q.Auto()}
		for _, r := range n.Own {
			if by := rate(q, n, r).against(); by != NothingAgainst && !f.Asked {
				f.Closer = append(f.Closer, Unserved{r.Name, by})
			}
		}
		out.Add(finding.Finding{Code: CodeNotOwned, Severity: finding.Caution, Facts: f})
	}
	if c.Own || left {
		out = append(out, Age(c.Rubber, q.Today, left && c.Family != "")...)
	}
	return out
}
