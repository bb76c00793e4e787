package live

import (
	"regexp"
	"slices"
	"strings"
)

// The job stands on the page as a sentence with blanks to fill in, as on a shop's
// ticket; every other flag of the plan is asked for under it, in the groups of help.

// blank is a field within the sentence.
type blank struct {
	before string // the words that lead to it
	flag   string
	label  string // for who does not see the sentence
	none   string // what stands in it while nothing is said
	after  string
}

var sentences = [][]blank{
	{
		{"The file’s numbers are in", "units", "Unit of the file’s numbers", "what it says, else mm", ";"},
		{"made", "height", "Finished height", "as tall as it is", "tall,"},
		{"it faces up with", "up", "Side that faces up", "the side that suits", "."},
	},
	{
		{"Mold it as", "mold", "Kind of mold", "what suits it best", ","},
		{"in", "container", "Container", "what holds least", ","},
		{"with", "wall", "Least rubber at the sides", "the usual", "of rubber round it"},
		{"(a coat of", "coat", "Thickness of a coat", "the usual", ")."},
	},
	{
		{"Pour", "rubber", "Rubber", "the rubber that suits", ""},
		{"at", "temp", "Workshop temperature", "23 °C", "."},
		{"The pattern is of", "pattern-material", "What the pattern is made of", "I do not say what", ""},
		{"and", "fixed", "The pattern is fixed down", "", "fixed down."},
	},
	{
		{"Cast it in", "cast", "What is cast", "I do not say what", ","},
		{"", "copies", "How many castings", "1", "times."},
		{"Figures in", "system", "Units of the figures", "both systems", "."},
	},
}

// sides are the ways up that are offered.
var sides = [][2]string{{"+z", "+z, up in the file"}, {"-z", "−z, down in the file"}, {"+x", "+x"}, {"-x", "−x"}, {"+y", "+y"}, {"-y", "−y"}}

// spoken is how a choice reads in the sentence; others read as they are.
var spoken = map[string]map[string]string{
	"mold":      {"block": "a block", "two-part": "two halves", "cut": "a mold cut open", "blanket": "a poured blanket", "brushed": "a brushed blanket"},
	"container": {"box": "a box", "polygon": "a polygon of boards", "sleeve": "a tube"},
	"system":    {"us": "US units", "metric": "metric units"},
}

// ticket is what a job is asked for by.
func (p *page) ticket(f Form) {
	of := map[string]Field{}
	for _, g := range f.Groups {
		for _, x := range g.Fields {
			of[x.Flag] = x
		}
	}
	var placed []string
	p.print("<form id=\"ticket\" aria-labelledby=\"ticket-title\" autocomplete=\"off\">\n<h2 id=\"ticket-title\">The job</h2>\n")
	for _, s := range sentences {
		p.print("<p>")
		for _, b := range s {
			x, ok := of[b.flag]
			if !ok {
				continue
			}
			placed = append(placed, b.flag)
			p.printf("<span class=\"blank\">%s ", esc(b.before))
			p.input(x, b.label, b.none, "ask-"+x.Flag)
			p.printf("%s</span> ", esc(gap(b.after)))
		}
		p.print("</p>\n")
	}
	p.print("<details id=\"more\"><summary>More to say</summary>\n<div class=\"groups\">\n")
	for _, g := range f.Groups {
		rest := slices.DeleteFunc(slices.Clone(g.Fields), func(x Field) bool { return slices.Contains(placed, x.Flag) })
		if len(rest) == 0 {
			continue
		}
		p.printf("<fieldset><legend>%s</legend>\n", esc(g.Title))
		for _, x := range rest {
			id := "ask-" + x.Flag
			p.printf("<div class=\"ask\"><label for=\"%s\">%s</label> ", id, esc(label(x.Flag)))
			p.input(x, "", "", id)
			p.printf("<p id=\"%s-help\">%s</p></div>\n", id, esc(capital(x.Help)))
		}
		p.print("</fieldset>\n")
	}
	p.print("</div>\n</details>\n<p class=\"ends\"><button type=\"reset\" class=\"quiet\">Forget what I said</button></p>\n</form>\n")
}

// label is what a flag is called on the page.
func label(flag string) string {
	for _, s := range sentences {
		for _, b := range s {
			if b.flag == flag {
				return b.label
			}
		}
	}
	return capital(strings.ReplaceAll(flag, "-", " "))
}

var flagNamed = regexp.MustCompile(`--([a-z][a-z0-9-]*[a-z0-9])`)

// Asked is a text for the page: what it calls flags of the groups is what they are called there.
func Asked(groups []Group, text string) string {
	return flagNamed.ReplaceAllStringFunc(text, func(s string) string {
		for _, g := range groups {
			for _, f := range g.Fields {
				if "--"+f.Flag == s {
					return "“" + label(f.Flag) + "”"
				}
			}
		}
		return s
	})
}

// gap sets words apart from the blank before them, but no full stop.
func gap(s string) string {
	if s == "" || strings.ContainsAny(s[:1], ".,;)") {
		return s
	}
	return " " + s
}

// input is the blank of a field. label names it where nothing else does; none is what
// it reads while it is empty.
func (p *page) input(x Field, label, none, id string) {
	attr := " id=\"" + id + "\" data-flag=\"" + esc(x.Flag) + "\""
	if label != "" {
		attr += " aria-label=\"" + esc(label) + "\""
	} else {
		attr += " aria-describedby=\"" + id + "-help\""
	}
	choices := x.Choices
	if len(choices) == 0 && x.Takes == "NAME" {
		choices = x.Offers
	}
	switch {
	case x.Takes == "":
		p.printf("<input type=\"checkbox\"%s>", attr)
	case x.Flag == "up":
		p.printf("<select%s><option value=\"\">%s</option>", attr, esc(none))
		for _, s := range sides {
			p.printf("<option value=\"%s\">%s</option>", s[0], esc(s[1]))
		}
		p.print("</select>")
	case len(choices) > 0:
		p.printf("<select%s><option value=\"\">%s</option>", attr, esc(none))
		for _, c := range choices {
			if c == "auto" || c == "both" {
				continue
			}
			read := c
			if s := spoken[x.Flag][c]; s != "" {
				read = s
			}
			p.printf("<option value=\"%s\">%s</option>", esc(c), esc(read))
		}
		p.print("</select>")
	default:
		mode, size := "", 9
		switch x.Takes {
		case "N":
			mode, size = " inputmode=\"numeric\"", 4
		case "PCT", "F", "PRICE":
			mode = " inputmode=\"decimal\""
		}
		p.printf("<input type=\"text\"%s%s size=\"%d\" maxlength=\"80\" placeholder=\"%s\" spellcheck=\"false\">", attr, mode, max(size, len([]rune(none))), esc(none))
	}
}
