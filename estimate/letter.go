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
	to := j.Letter
	if to == nil {
		return nil
	}
	l := &Letter{From: j.shop.Letterhead, Client: append([]string{}, to.Client...)}
	if to.Number != "" {
		l.Number = &to.Number
	}
	if j.Date != (rubber.Date{}) {
		l.Date = new(j.Date.String())
		if v := j.shop.Prices.ValidDays; v != nil {
			until := time.Date(j.Date.Year, time.Month(j.Date.Month), j.Date.Day+int(*v), 0, 0, 0, 0, time.UTC)
			l.ValidUntil = new(until.Format(time.DateOnly))
		}
	}
	return l
}

// letterhead is what the shop file says of who sends a quote.
func (p *reader) letterhead() *Letterhead {
	return &Letterhead{Name: p.s("name"), Address: LinesOf(p.s("address")), Phone: p.s("phone"), Mail: p.s("mail"), TaxNumber: p.s("tax_number")}
}
