package render

import (
	"io"
	"regexp"
	"strconv"
	"strings"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// figures are numbers with what they count, which no line parts.
var figures = regexp.MustCompile(`(\d) (%|mm|cm²|cm³|mm²|mm³|kg|g|N|in|in²|in³|lb|oz|ml|min|h|°C|°F|A)([ ,;:.)]|$)`)

// mixed is a whole number with its fraction, which none parts either.
var mixed = regexp.MustCompile(`(\d) (\d+/\d)`)

// shorten leaves of a finding's part what fits so many lines of n columns: whole
// sentences, else half sentences, of which the first says what matters. Whether it left
// anything out is told for all of them together.
func shorten(s string, n, lines int) (short string, less bool) {
	s = tied(s)
	if long(s, n) <= lines {
		return s, false
	}
	for _, end := range []string{". ", "; "} {
		for cut := strings.LastIndex(s, end); cut > 0; cut = strings.LastIndex(s[:cut], end) {
			t := figure.Sentence(s[:cut])
			if long(t, n) <= lines && strings.Count(t, "(") == strings.Count(t, ")") {
				return t, true
			}
		}
	}
	return clip(s, n, lines), true
}

// long is how many lines of n columns a text takes.
func long(s string, n int) int { return len(wrap(s, n)) }

// tied is a text whose figures no line parts.
func tied(s string) string {
	return figures.ReplaceAllString(mixed.ReplaceAllString(s, "$1"+figure.NBSP+"$2"), "$1"+figure.NBSP+"$2$3")
}

// clip shortens a text to so many lines of n columns: to whole sentences, else to
// half sentences, else to clauses, else to words, and shows by a mark that there is
// more.
func clip(s string, n, lines int) string {
	const mark = " …"
	s = tied(s)
	if long(s, n) <= lines {
		return s
	}
	for _, by := range []struct {
		end   string
		least int // columns: what leaves more of the room empty is no gain
	}{{". ", 3 * n * lines / 5}, {"; ", 3 * n * lines / 5}, {", ", 3 * n * lines / 4}, {" ", 0}} {
		for cut := strings.LastIndex(s, by.end); cut > 0; cut = strings.LastIndex(s[:cut], by.end) {
			t := strings.TrimRight(s[:cut], " ,;:.")
			if columns(t) < by.least {
				break
			}
			if by.end == " " {
				t = whole(t)
			}
			if long(t+mark, n) > lines || strings.Count(t, "(") != strings.Count(t, ")") {
				continue
			}
			if by.end == ". " {
				t += "."
			}
			return t + mark
		}
	}
	return s
}

// whole takes words off the end that lead on to something.
func whole(t string) string {
	for {
		cut := strings.LastIndex(t, " ")
		switch last := strings.Trim(t[cut+1:], ",;:."); last {
		case "a", "an", "and", "as", "at", "by", "for", "from", "in", "is", "its", "of", "on", "or", "per", "say", "so", "than", "that", "the", "then", "to", "until", "when", "where", "which", "with":
			if cut < 0 {
				return t
			}
			t = strings.TrimRight(t[:cut], " ,;:.")
		default:
			return t
		}
	}
}

// WriteScreen sets a screen in plain text, UTF-8: no line longer than the width,
// within the lines that the screen promises at 80 columns.
func WriteScreen(w io.Writer, s *Screen, o TextOptions) error {
	t := newText(o)
	t.screen(s)
	return t.flush(w)
}

// lines is how many lines a screen takes at 80 columns.
func (s *Screen) lines() int {
	t := newText(TextOptions{Width: screenWidth})
	t.screen(s)
	return strings.Count(t.String(), "\n")
}

func (t *text) screen(s *Screen) {
	t.head(&Sheet{Title: s.Title, Maker: s.Maker, Answer: s.Answer})
	for _, e := range s.Effects {
		t.hang("", 0, e, nil)
	}
	if s.Verdict.Text != "" {
		t.hang("", 0, s.Verdict.Text, func(l string) string {
			if t.color {
				return t.paint(t.tone(l, s.Verdict.Tone), bold)
			}
			return l
		})
	}
	if s.How != "" {
		t.hang("", 0, s.How, nil)
	}
	for i := range s.Findings {
		t.finding(i+1, &s.Findings[i])
	}
	if s.Rest != "" {
		t.hang("", labelWidth, s.Rest, nil)
	}
	t.line("")
	for _, r := range s.Build {
		t.hang(r.Label, labelWidth, r.Value, nil)
	}
	for i := range s.Pours {
		t.pour(&s.Pours[i])
	}
	for _, r := range s.Work {
		t.hang(r.Label, labelWidth, r.Value, nil)
	}
}

// finding sets one in three parts, each under its label.
func (t *text) finding(n int, x *Notice) {
	tone := Care
	if x.Severity == finding.Stop {
		tone = Bad
	}
	t.hang(strconv.Itoa(n)+" "+strings.ToUpper(x.Severity.String()), labelWidth, x.Summary, func(l string) string { return t.tone(l, tone) })
	for _, part := range [...][2]string{{"  effect", x.Effect}, {"  do", x.Hint}} {
		if part[1] != "" {
			t.hang(part[0], labelWidth, part[1], nil)
		}
	}
}

// pour sets what is weighed for one pour, and its cups.
func (t *text) pour(p *ScreenPour) {
	t.hang(p.Name, labelWidth, partsLine(p.Parts, " + "), func(l string) string { return t.paint(l, bold) })
	for _, l := range p.CupLines() {
		t.hang("", labelWidth, l, nil)
	}
}

// partsLine sets parts side by side.
func partsLine(parts []Part, gap string) string {
	var out []string
	for _, p := range parts {
		s := p.Name + figure.NBSP + p.Amount
		if p.Other != "" {
			s += figure.NBSP + "(" + strings.ReplaceAll(p.Other, " ", figure.NBSP) + ")"
		}
		out = append(out, s)
	}
	return strings.Join(out, gap)
}

// CupLines say how a pour is divided into cups, a line for each sort, at most three.
func (p *ScreenPour) CupLines() (out []string) {
	if len(p.Cups) == 0 {
		return nil
	}
	if p.Cups[0].Coat > 0 {
		return p.coatLines()
	}
	n, holds := p.Cups[len(p.Cups)-1].To, ""
	if h := p.Cups[0].Holds; h != "" {
		holds = " of " + h + " or more"
	}
	switch {
	case n == 1 && holds == "":
		return nil
	case n == 1:
		return []string{"in one cup" + holds}
	case len(p.Cups) == 1:
		return []string{"in " + strconv.Itoa(n) + " cups" + holds + ", each " + partsLine(p.Cups[0].Parts, " + ")}
	}
	out = append(out, "in "+strconv.Itoa(n)+" cups"+holds+":")
	for i, c := range p.Cups {
		if i == 1 && len(p.Cups) > 2 {
			return append(out, "and so on to cup "+strconv.Itoa(n)+": see --full")
		}
		l := "cup " + strconv.Itoa(c.From)
		if c.To > c.From {
			between := " to "
			if c.To == c.From+1 {
				between = " and "
			}
			l = "cups " + strconv.Itoa(c.From) + between + strconv.Itoa(c.To) + ", each"
		}
		out = append(out, l+": "+partsLine(c.Parts, " + "))
	}
	return out
}

// coatLines say in which cups the coats of a brushed mold are mixed, a line for each
// sort of coat.
func (p *ScreenPour) coatLines() (out []string) {
	for _, c := range p.Cups {
		l := "coat " + strconv.Itoa(c.Coat)
		if c.Last > c.Coat {
			l = "coats " + strconv.Itoa(c.Coat) + " to " + strconv.Itoa(c.Last) + ", each"
		}
		if n := (c.To - c.From + 1) / (c.Last - c.Coat + 1); n > 1 {
			l += " in " + strconv.Itoa(n) + " cups of"
		} else {
			l += ":"
		}
		if l += " " + partsLine(c.Parts, " + "); c.Holds != "" {
			l += "; cup of " + c.Holds + " or more"
		}
		out = append(out, l)
	}
	return out
}
