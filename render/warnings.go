package render

import (
	"strings"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// warnings lists the findings of one severity in their three parts.
func (w *wording) warnings(s finding.Severity) Section {
	sec := Section{Key: s.String()}
	switch s {
	case finding.Stop:
		sec.Title, sec.Tone = "Stop before you pour", Bad
	case finding.Caution:
		sec.Title, sec.Tone = "Look twice", Care
	default:
		sec.Title, sec.Tone = "Good to know", Quiet
	}
	for _, f := range w.plan.Warnings {
		if f.Severity == s {
			sec.Notices = append(sec.Notices, w.notice(f))
		}
	}
	return sec
}

func (w *wording) notice(f finding.Finding) Notice {
	if f.Of != "" { // its places and sides are those of its file, not of the container
		own := *w
		own.seen = nil
		w = &own
	}
	told := w.tell(f)
	n := Notice{Severity: f.Severity, Code: string(f.Code),
		Summary: figure.Sentence(told.Summary), Effect: figure.Sentence(told.Effect), Hint: figure.Sentence(told.Hint)}
	n.At = f.At
	if f.At != nil {
		n.Place = figure.Place(*f.At)
		if w.seen != nil {
			n.Place = strings.TrimPrefix(w.seen.Place(*f.At), "the ")
		}
	}
	return n
}

// original is what each step could do to a pattern that cannot be replaced.
func (w *wording) original() Section {
	sec := Section{Key: "original", Title: "Before anything else: the original", Tone: Care}
	if w.plan.Rubber == nil {
		return sec
	}
	for _, x := range w.plan.Rubber.Risks {
		sec.add(Row{Label: figure.Capital(w.say(x.Step)), Value: figure.Sentence(w.say(x.Harm)), Note: figure.Sentence(w.say(x.Guard))})
	}
	return sec
}

func (w *wording) notChecked() Section {
	sec := Section{Key: "not_checked", Title: "Not looked at", Tone: Care}
	for _, s := range w.plan.NotChecked {
		sec.List = append(sec.List, figure.Sentence(w.say(s)))
	}
	return sec
}

func (w *wording) cautions() Section {
	sec := Section{Key: "cautions", Title: "Safety", Tone: Care}
	for _, s := range w.plan.Cautions {
		sec.List = append(sec.List, figure.Sentence(w.say(s)))
	}
	return sec
}
