// Package demold asks of a solid how a mold lets go of it: undercuts, the path
// the rubber must bend, stretch, squeeze, mouth, tunnels, trapped air, parting,
// and which way up it stands best. Definitions are in DEVELOPERS.md, with the
// rest of the terms; formulas name their source.
package demold

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
)

// Mold says how the mold comes off.
type Mold = scene.Mold

// The kinds of mold.
const (
	Block   = scene.Block
	TwoPart = scene.TwoPart
	Cut     = scene.Cut
	Blanket = scene.Blanket
	Brushed = scene.Brushed
)

// Options of an analysis. Lengths in mm; the zero value is the default.
type Options struct {
	Mold       Mold     // "" = Block
	Clay       *float64 // height of the clay fillet; nil = ClayDefault
	Ignore     *float64 // undercuts shallower than this are noise; nil = 0.3
	Resolution float64  // cell of the column field; 0 = auto
	Coarser    float64  // makes the cells so many times as wide, for a look that is only compared; 0 = 1
	Web        *float64 // gaps between parts of the pattern thinner than this are webs of rubber that tear; nil = thin.DefaultWeb
	Fin        *float64 // parts of the pattern thinner than this break; nil = thin.DefaultFin
	Parting    *float64 // height p·u of a two-part mold's parting; nil = the best
	Progress   func(stage string, done, total int)
	Foot, Show *mesh.Vec        // outward directions of the side of the pattern that shows least, and of its face; nil = not known
	Hollow     bool             // the casting is hollow: it is swilled round
	Known      *pose.Known      // what a search has found already; used where it is what is asked for
	Directions []pose.Direction // that were tried, for the report's list
	Tunnels    *tunnel.Memo     // what is known of the solid's tunnels, and what is found of them here; nil = nothing
	Parted     *Parted          // what is known of the last look at a mold that parts, and what is found here; nil = nothing
	Straight   bool             // a mold that is cut open is cut straight up the back: no other plane is looked at
	Brief      bool             // only what a verdict rests on: no places of air, lines or halves, nor of more than a few tunnels
}

// Report is what the pull does to the rubber. Lengths mm, areas mm², volumes
// mm³; points and directions in the file's own axes. A nil pointer is unknown
// or infinite and is written as null.
type Report struct {
	UndercutVolume  float64     `json:"undercut_volume_mm3"`
	UndercutArea    float64     `json:"undercut_area_mm2"`
	UndercutDepth   float64     `json:"undercut_depth_mm"`
	UndercutDepthAt *[3]float64 `json:"undercut_depth_at_mm"`
	UndercutPath    *float64    `json:"undercut_path_mm"` // nil = locked
	UndercutPathAt  *[3]float64 `json:"undercut_path_at_mm"`

	Stretch      *float64    `json:"stretch"`
	StretchAt    *[3]float64 `json:"stretch_at_mm"`
	StretchNeck  *float64    `json:"stretch_neck_mm"`  // perimeter at the neck
	StretchBulge *float64    `json:"stretch_bulge_mm"` // perimeter at the bulge
	StretchClay  bool        `json:"stretch_neck_is_clay_line"`
	// Profiles are the parts that rings of rubber hold.
	Profiles     []strip.Profile `json:"-"`
	Squeeze      float64         `json:"squeeze"`
	SqueezeAt    *[3]float64     `json:"squeeze_at_mm"`
	SqueezeRest  float64         `json:"squeeze_rest"` // where rubber in holes is left aside
	TongueLength *float64        `json:"tongue_length_mm"`
	TongueRoot   *float64        `json:"tongue_root_mm"`

	Mouth   strip.Mouth `json:"mouth"`
	Tunnels *int        `json:"tunnels"`
	// TunnelList has the tunnels that were found, the widest first; where they
	// are fewer than were counted, the others are finer, or too many. Webs is
	// nil where there are none, no board, or a web that is not known.
	TunnelList []tunnel.Passage `json:"tunnel_list"`
	Webs       *Webs            `json:"webs"`
	// Thin has webs of rubber thinner than ThinWeb and fins of the pattern
	// thinner than ThinFin, mm, the worst of each kind first.
	Thin    []thin.Place   `json:"thin"`
	ThinWeb float64        `json:"thin_web_mm"`
	ThinFin float64        `json:"thin_fin_mm"`
	Draft   undercut.Draft `json:"draft_area_fraction"`
	// DraftArea has the areas that Draft has the shares of, mm².
	DraftArea undercut.Draft `json:"draft_area_mm2"`

	// LockedVolume is the volume of rubber without a way out at its height,
	// mm³, and FreePath the deepest path of the rest: what is left when the
	// locked places are filled, slit or plugged.
	LockedVolume float64 `json:"locked_volume_mm3"`
	// LockedBend is the size of the largest place that locks, where all of them can
	// be bent out of the way, mm; 0 = none locks, or not all of them can.
	LockedBend float64 `json:"locked_bend_mm"`
	FreePath   float64 `json:"free_path_mm"`
	// Loose is what loose pieces do for what locks; nil = nothing locks, or all of
	// it can be bent out of the way. Of a cut mold it is what its seam leaves.
	Loose *loose.Result `json:"loose"`

	Trapped    *float64          `json:"trapped_volume_mm3"` // two-part and cut
	Regions    []undercut.Region `json:"regions"`
	AirTraps   []air.Trap        `json:"air_traps"`
	Air        []air.Pour        `json:"air"`
	Parting    *Parting          `json:"parting"`
	Seam       *seam.Seam        `json:"seam"` // of a cut mold
	Flap       *undercut.Flap    `json:"flap"` // of molds that open along a seam
	Directions []pose.Direction  `json:"directions"`

	Clay       float64 `json:"clay_mm"`
	Bed        float64 `json:"bed_mm"` // of that, where an uneven underside is bedded in clay; 0 = it stands as it is
	Resolution float64 `json:"resolution_mm"`
	// Uncertainty of the depth and the path: Resolved, or how far the path hangs on
	// its height where that is more. Resolved is what columns tell of any depth, mm.
	Uncertainty float64 `json:"uncertainty_mm"`
	Resolved    float64 `json:"-"`

	// Pockets: space outside S above the base plane that rubber cannot
	// reach, mm³, and the clay below the clay line that S overhangs.
	Pockets  float64 `json:"pockets_mm3"`
	ClayFill float64 `json:"clay_mm3"`

	Findings finding.List `json:"-"`
	// VertexPath is, per vertex of the solid's surface, how far rubber there
	// must bend to get out, mm; 0 where nothing is undercut, +Inf where it is
	// locked. For pictures.
	VertexPath []float32 `json:"-"`
	// VertexRegion is, per vertex of the solid's surface, the ID of the region
	// that VertexPath was read in, 0 where that is 0.
	VertexRegion []int32 `json:"-"`
	// VertexHalf is, per vertex of the solid's surface, the half of a parted mold
	// that lets go of it; nil for other molds.
	VertexHalf []parting.Half `json:"-"`
	// Field is the column field the figures were read from.
	Field *dexel.Field `json:"-"`
	// Cavity is what the casting fills, as it is cast.
	Cavity air.Cavity `json:"-"`

	undercuts *undercut.Result // as figures go by them
	surface   *undercut.Surface
}

// Parting is where a two-part or cut mold opens: flat, at a height above the
// pattern's lowest point along the pull, and by itself, along the natural
// parting line.
type Parting struct {
	Kind   string  `json:"kind"`
	Height float64 `json:"height_mm"` // of the flat parting above the pattern's lowest point
	parting.Natural
	Halves *parting.Halves `json:"halves"`
}

// Locks reports whether rubber is shut in that cannot be bent out of the way, and
// that is neither left to loose pieces nor filled before the mold is made.
func (r *Report) Locks() bool {
	return r.UndercutPath == nil && r.LockedBend == 0 && !r.Loose.Serve()
}

// plugFrom is the squeeze from which a hole's rubber would have to stretch to twice its
// length to leave it. Judgement of this program.
const plugFrom = 1 - 1/math.Sqrt2

// Plugged reports whether a hole in the pattern, small against it, grips rubber so that
// it is plugged before the mold is made; Squeeze and the tongue are that hole's.
func (r *Report) Plugged() bool {
	return r.Squeeze >= plugFrom && r.SqueezeRest < r.Squeeze && r.SqueezeAt != nil
}

// SlitLine finds where the mold, of one piece over a pattern on a board, is slit, for a
// rubber whose rings stand a strain comfortably and a crown that is as thick as wall,
// mm. show is the way the pattern looks; nil = not known. nil where nothing can be cut
// along. The error is the ctx's.
func (r *Report) SlitLine(ctx context.Context, show *mesh.Vec, strain, wall float64) (*seam.Slit, error) {
	if r.undercuts == nil || !r.undercuts.Scene.OnBoard() {
		return nil, nil
	}
	x, err := seam.UpTheBack(ctx, r.undercuts, r.surface, seam.SlitOptions{Show: show, Profiles: r.Profiles, Strain: strain, Wall: wall})
	if err != nil {
		return nil, fmt.Errorf("demold: %w", err)
	}
	return x, nil
}
