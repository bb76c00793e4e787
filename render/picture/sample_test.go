package picture

import (
	"flag"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
)

var update = flag.Bool("update", false, "rewrite the golden pictures under testdata; look at them before committing")

func ptr[T any](v T) *T { return &v }

// samplePlan is what of a plan is on the picture, made up by hand.
func samplePlan() *estimate.Plan {
	return &estimate.Plan{
		Tool: "moldtally", Version: "0.1.0",
		Pattern: &estimate.Pattern{File: "finial.stl", Units: "mm", UnitsFrom: "assumed", Size: [3]float64{80.004, 80.004, 142.25},
			DisplacedVolume: ptr(412310.0), DisplacedLow: ptr(409120.0), DisplacedHigh: ptr(415890.0)},
		Pose: &pose.Pose{Up: [3]float64{0, 0, 1}, Height: 142.25},
		Demold: &demold.Report{UndercutVolume: 38412.2, UndercutArea: 9120.4, UndercutDepth: 14.72, UndercutDepthAt: &[3]float64{24.9, 3.1, 61.8},
			UndercutPath: ptr(14.72), UndercutPathAt: &[3]float64{24.9, 3.1, 61.8}, Clay: 1.42, Resolution: 0.35, Uncertainty: 0.34, Resolved: 0.34},
		Container: &boxfit.Fit{Kind: boxfit.Box, Mold: "block", Interior: &[3]float64{105, 105, 165}, Wall: 12.5, Over: 12, FillHeight: 154.3, Thinnest: 11.8,
			Boards: []boxfit.Board{{Part: boxfit.Part{Role: boxfit.LongSide, Stock: "melamine-12"}, Count: 2, Length: 129, Width: 165, Thickness: 12}}},
		Rubber:   &estimate.Rubber{Volume: 1288847.5, VolumeLow: 1285267.5, VolumeHigh: 1292037.5},
		Verdict:  &estimate.Verdict{Answer: estimate.ComesOutSoft},
		Warnings: finding.List{{Severity: finding.Stop}, {Severity: finding.Caution}, {Severity: finding.Note}},
	}
}
