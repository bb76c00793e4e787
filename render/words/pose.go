package words

import (
	"strings"

	"moldtally/mesh/demold/pose"
)

var poseRemarks = []saying{
	says(func(v voice, c pose.Chosen) string {
		if c.Asked {
			return "as asked"
		}
		if c.Search != nil {
			return "searched over the whole sphere: " + v.tried(*c.Search)
		}
		var why []string
		for _, s := range c.Steps {
			why = append(why, standingSteps[s])
		}
		if c.Top != nil {
			why[len(why)-1] += " (" + origins[*c.Top] + ")"
		}
		if c.Equal != nil {
			why = append(why, origins[*c.Equal]+" is as good as any")
		}
		return strings.Join(why, "; of those ways, ")
	}),
	says(voice.tried),
}

var standingSteps = map[pose.Step]string{
	pose.OpenSideIsBottom: "the open side of the scan is its bottom",
	pose.RealFlatSide:     "it stands on a real, flat side",
	pose.WideFoot:         "it stands on its foot, hollow or rough as that is",
	pose.PlainSideDown:    "a plain side is down",
	pose.LargestSideDown:  "its largest plain side is down",
	pose.ShortestWayOut:   "the rubber has the shortest way out",
	pose.LeastDetailLost:  "the least detail is lost on the board",
	pose.LeastRubber:      "it takes the least rubber",
	pose.StandsOnBase:     "it stands on its base, as it does in the world",
	pose.StandsUpright:    "it stands as it does in the world",
	pose.LaidOut:          "each pattern stands as it was judged by itself",
}

var origins = map[pose.Origin]string{
	pose.FileUp: "the file's own up", pose.SaidUp: "its top as said", pose.AssumedUp: "the file's up (+z)",
	pose.PlusZ: "+z up", pose.MinusZ: "-z up", pose.PlusY: "+y up", pose.MinusY: "-y up", pose.PlusX: "+x up", pose.MinusX: "-x up",
	pose.OpenSideDown: "its open side down", pose.Resting: "a side it rests on", pose.Searched: "searched",
}

// tried says where a direction comes from and what it gains.
func (v voice) tried(t pose.Tried) string {
	from := origins[t.From]
	switch t.Than {
	case pose.TheFilesOwn:
		return from + ", the file's own up"
	case pose.LockedToo:
		return from + ", locked like the file's own up"
	case pose.Locked:
		return from + ", locked"
	case pose.Freed:
		return from + ", lets go where the file's own up is locked"
	case pose.LessDeep:
		return from + ", " + v.mm(t.By, short) + " less deep than the file's own up"
	case pose.Deeper:
		return from + ", " + v.mm(t.By, short) + " deeper than the file's own up"
	case pose.AsDeep:
		return from + ", as deep as the file's own up"
	}
	return from
}
