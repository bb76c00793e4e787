package words

import "moldtally/estimate"

var estimateRemarks = []saying{
	says(func(v voice, d estimate.Dunked) string {
		return "as measured by dunking; the mesh displaces " + v.mm3(d.Mesh, sig(6)) + " (" + v.say(remark(d.Measured)) + ")"
	}),
}
