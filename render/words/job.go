package words

import (
	"strings"

	"moldtally/estimate"
)

var jobRemarks = []saying{
	says(voice.leaves),
	says(func(v voice, s estimate.Summary) string { return v.tell(s.Of).Summary }),
	says(func(v voice, c estimate.Change) string { return v.change(c) }),
	says(func(v voice, d estimate.FirstLine) string {
		switch d.Answer {
		case estimate.CourseNo:
			var why []string
			for _, r := range d.Because {
				why = append(why, v.tell(r.Summary.Of).Summary)
			}
			return "No: " + strings.Join(why, "; ") + ". What would make it a yes: " + v.change(*d.Change)
		case estimate.CourseOpen:
			if n := len(d.Because); n > 1 {
				return "Not yet: settle the " + whole(n) + " stops below before you pour"
			}
			if d.Short {
				return "Not yet: settle the stop below before you pour"
			}
			return "Not yet: " + v.tell(d.Because[0].Summary.Of).Summary
		}
		yes := "Yes: it can be done as asked"
		if d.Partly {
			yes = "Yes, as far as this looks: it can be done as asked"
		}
		switch d.Cautions {
		case 0:
			return yes
		case 1:
			return yes + "; look twice at one thing below first"
		}
		return yes + "; look twice at " + whole(d.Cautions) + " things below first"
	}),
}

// change says what would have to be otherwise: what there is to do about each
// finding.
func (v voice) change(c estimate.Change) string {
	var all []string
	for _, f := range c.Of {
		all = append(all, v.tell(f).Hint)
	}
	return strings.Join(all, "; and ")
}
