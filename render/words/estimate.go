package words

import "moldtally/estimate"

var estimateRemarks = []saying{
	says(func(v voice, d estimate.Dunked) string {
		return "as measured by dunking; the mesh displaces " + v.mm3(d.Mesh, sig(6)) + " (" + v.say(remark(d.Measured)) + ")"
	}),
}

var estimateFaults = []fault{
	faults(func(v voice, e *estimate.SizeError) Fault {
		if e.Factor == 0 {
			return Fault{Told: Told{e.File + " has no height along up", "it cannot be brought to a height", "choose another side with --up"}}
		}
		return Fault{Told: Told{"made " + sig(-1)(e.Factor) + " times as big, the pattern is too large to reckon with", "nothing was worked out", "look at the size asked for and at --units"}}
	}),
}
