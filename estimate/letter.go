package estimate

import (
	"strings"
	"time"

	"moldtally/estimate/rubber"
)

// Letterhead is who sends a quote, as the shop file says; "" and nil = not said.
type Letterhead struct {
	Name      string   `json:"name"`
	Address   []string `json:"address"` // lines
	Phone     string   `json:"phone"`
	Mail      string   `json:"mail"`
	TaxNumber string   `json:"tax_number"`
}

// Addressee is whom a quote is for and its number, as the user says.
type Addressee struct {
	Client []string // name and address, a line each
	Number string
}

// Letter is what stands over a quote. Nothing of it is made up: the day is the one that
// was given.
type Letter struct {
	From       *Letterhead `json:"from"` // nil = the shop file has none
	Client     []string    `json:"client"`
	Number     *string     `json:"number"`
	Date       *string     `json:"date"`        // 2026-03-09
	ValidUntil *string     `json:"valid_until"` // the last day, where day and term are known
}

// LinesOf parts a text at its semicolons into lines; none of them is empty.
func LinesOf(s string) []string {
	out := []string{}
	for _, l := range strings.Split(s, ";") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// letter is what stands over a quote; nil = no quote was asked for.
func (j *resolved) letter() *Letter {
	if j.Letter == nil {
		return nil
	}
	return NewLetter(&j.shop, *j.Letter, j.Date)
}

// NewLetter is what stands over a quote of a shop, nil = none known, on a day; the zero
// day is not said.
func NewLetter(shop *Shop, to Addressee, day rubber.Date) *Letter {
	l := &Letter{Client: append([]string{}, to.Client...)}
	if shop != nil {
		l.From = shop.Letterhead
	}
	if to.Number != "" {
		l.Number = &to.Number
	}
	if day == (rubber.Date{}) {
		return l
	}
	l.Date = new(day.String())
	if shop != nil && shop.Prices.ValidDays != nil {
		until := time.Date(day.Year, time.Month(day.Month), day.Day+int(*shop.Prices.ValidDays), 0, 0, 0, 0, time.UTC)
		l.ValidUntil = new(until.Format(time.DateOnly))
	}
	return l
}

// letterhead is what the shop file says of who sends a quote.
func (p *reader) letterhead() *Letterhead {
	return &Letterhead{Name: p.s("name"), Address: LinesOf(p.s("address")), Phone: p.s("phone"), Mail: p.s("mail"), TaxNumber: p.s("tax_number")}
}
