package render

import (
	"io"
	"slices"

	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// The parts of a page that another page takes over as they are.

// WriteWeights writes the parts of a pour in large numerals, and its cups as boxes to
// tick, as the bench page has them. The error is the writer's.
func WriteWeights(w io.Writer, p *ScreenPour) error {
	b := &benchPage{}
	b.weights(p)
	_, err := w.Write(b.Bytes())
	return err
}

// Class is the name of a tone in a page's style.
func (t Tone) Class() string { return toneClass(t) }

// PageText is a text of the screen where the rest stands on the same page: where says
// how it is found there.
func PageText(s, where string) string { return onPages(s, where) }

// WriteSections writes the sections of a sheet as parts of a page, but for those whose
// keys are left out.
func WriteSections(w io.Writer, s *Sheet, without ...string) error {
	p := &page{}
	for i := range s.Sections {
		if !slices.Contains(without, s.Sections[i].Key) {
			p.section(&s.Sections[i])
		}
	}
	_, err := w.Write(p.Bytes())
	return err
}

// MethodCard is one way to mold a pattern, as it stands beside the others on a page.
type MethodCard struct {
	Mold   demold.Mold
	Name   string
	Rubber string // how much; "" = not known
	Hours  string
	Days   string
	Cost   string // "" = there are no prices
	Risk   string // to the pattern
	Fails  string // why it does not work; "" = it does
	Chosen bool
}

// MethodCards are the ways to mold a pattern, the chosen one first.
func MethodCards(p *estimate.Plan, o SheetOptions) (out []MethodCard) {
	if p.Methods == nil {
		return nil
	}
	w := newWording(p, o)
	currency := ""
	if p.Cost != nil {
		currency = p.Cost.Currency
	}
	for _, m := range *p.Methods {
		c := MethodCard{Mold: m.Mold, Name: figure.Capital(words.MethodShort(m.Mold, m.Slit != nil && *m.Slit)),
			Hours: hours(m.Labor), Days: days(m), Risk: words.RiskName(m.Risk), Chosen: m.Chosen && !p.Refused()}
		if m.RubberMass != nil {
			c.Rubber = w.Fine(figure.Mass(*m.RubberMass, *m.RubberMass, *m.RubberMass))
		}
		if m.Basis == estimate.ShopPrices {
			c.Cost = figure.Money(m.Cost, currency)
		}
		if len(m.Fails) > 0 {
			c.Fails = w.say(m.Fails[0])
		}
		out = append(out, c)
	}
	return out
}

// SizeLine is the size of a pattern, as its sheet tells it.
func SizeLine(p *estimate.Plan, o SheetOptions) string {
	if p.Pattern == nil {
		return ""
	}
	one := func(mm float64) figure.Quantity { return figure.Length(mm, 0.1) }
	return newWording(p, o).Fine(figure.Sizes(p.Pattern.Size[:], one))
}
