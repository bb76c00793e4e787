// Package estimate joins the stages into one plan: a pattern's survey, its
// solid, how it demolds, its container, the rubber it takes, the castings, the
// money and the verdict. Tally is the one use case; the command line and every
// page call it.
package estimate

import (
	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/finding"
)

// Schema numbers the shape of the JSON; it grows when a key changes meaning.
const Schema = 2

// Tool is the name that every answer carries.
const Tool = "moldtally"

// Plan is everything a run computed. Its JSON tags are a promise to scripts; a
// part that a command does not compute is nil and left out, and inside a part
// what is unknown or infinite is null. Numbers are unrounded.
type Plan struct {
	Schema     int              `json:"schema"`
	Tool       string           `json:"tool"`
	Version    string           `json:"version"`
	Job        *Decision        `json:"job,omitempty"`
	Pattern    *Pattern         `json:"pattern,omitempty"` // of several in one container their sum
	Patterns   *[]Member        `json:"patterns,omitempty"`
	Gang       *Gang            `json:"gang,omitempty"` // nil = one pattern in its container
	Pose       *pose.Pose       `json:"pose,omitempty"`
	Demold     *demold.Report   `json:"demold,omitempty"`
	Methods    *[]Method        `json:"methods,omitempty"`
	Choice     *finding.Remark  `json:"choice,omitempty"` // why the first was chosen, and what the second would change
	Container  *boxfit.Fit      `json:"container,omitempty"`
	Options    *[]boxfit.Option `json:"options,omitempty"`
	Rubber     *Rubber          `json:"rubber,omitempty"`
	Casting    *Casting         `json:"casting,omitempty"`
	Cost       *Cost            `json:"cost,omitempty"`
	Letter     *Letter          `json:"letter,omitempty"` // nil = no quote was asked for
	Schedule   *Schedule        `json:"schedule,omitempty"`
	Verdict    *Verdict         `json:"verdict,omitempty"`
	NotChecked []NotChecked     `json:"not_checked"`
	Warnings   finding.List     `json:"warnings"`
	Cautions   []Safety         `json:"cautions"`

	priced *priced // what Cost is reckoned from; nil = there is none
}

// Pattern is the file as read and the solid it stands for.
type Pattern struct {
	File             string           `json:"-"`    // what it is called: its base name; of several their names and counts
	FileName         *string          `json:"file"` // base name; nil = the sum of several
	Format           string           `json:"format"`
	Units            string           `json:"units"`
	UnitsFrom        UnitsFrom        `json:"units_from"`
	Triangles        int              `json:"triangles"`
	Vertices         int              `json:"vertices"`
	Size             [3]float64       `json:"size_mm"`
	Area             float64          `json:"area_mm2"`
	Closed           bool             `json:"closed"`
	BoundaryEdges    int              `json:"boundary_edges"`
	NonManifoldEdges int              `json:"nonmanifold_edges"`
	TurnedEdges      int              `json:"turned_edges"`
	DegenerateFaces  int              `json:"degenerate_faces"`
	DuplicateFaces   int              `json:"duplicate_faces"`
	Pieces           int              `json:"pieces"`
	Crumbs           int              `json:"crumbs"`
	ThroughHoles     *int             `json:"through_holes"`
	SealedVoids      *int             `json:"sealed_voids"`
	SealedVoidVolume *float64         `json:"sealed_void_volume_mm3"`
	SignedVolume     float64          `json:"signed_volume_mm3"`
	MaterialVolume   *float64         `json:"material_volume_mm3"`
	DisplacedVolume  *float64         `json:"displaced_volume_mm3"`
	DisplacedLow     *float64         `json:"displaced_low_mm3"`
	DisplacedHigh    *float64         `json:"displaced_high_mm3"`
	DisplacedMethod  *finding.Remark  `json:"displaced_method"`
	SelfCrossings    *int             `json:"self_crossings"`
	Repairs          []finding.Remark `json:"repairs"`
}

// Rubber is what is mixed. Masses g, volumes mm³ and ml.
type Rubber struct {
	Name        string           `json:"name"`
	Family      material.Family  `json:"family"`
	ShoreA      *float64         `json:"shore_a"`
	SG          float64          `json:"sg"`
	Volume      float64          `json:"volume_mm3"`
	VolumeLow   float64          `json:"volume_low_mm3"`
	VolumeHigh  float64          `json:"volume_high_mm3"`
	Mass        *float64         `json:"mass_g"` // this and all other masses are nil where the job is refused
	MassToMix   *float64         `json:"mass_to_mix_g"`
	PartA       *float64         `json:"part_a_g"` // nil = a mix by volume whose parts' gravities are not known
	PartB       *float64         `json:"part_b_g"`
	PartAml     *float64         `json:"part_a_ml"`
	PartBml     *float64         `json:"part_b_ml"`
	RatioError  *float64         `json:"ratio_error"` // (B/A)/(wanted B/A) − 1, of the worst batch
	Pours       []Pour           `json:"pours"`
	Kits        *[]Kit           `json:"kits"`
	Cost        *money.Amount    `json:"cost"`
	PotLife     *float64         `json:"pot_life_min"` // at the workshop's temperature
	Demold      *float64         `json:"demold_min"`
	Hardness    *Hardness        `json:"hardness"`
	Reasons     []finding.Remark `json:"reasons"`
	MixRatio    string           `json:"mix"` // "1:1", "100:10"
	MixBy       rubber.MixBy     `json:"mix_by"`
	ExtraMass   *float64         `json:"extra_g"`
	ExtraReason rubber.Loss      `json:"extra_reason"`

	What       string   `json:"what"`           // the rubber in a few words
	ShoreOO    *float64 `json:"shore_00"`       // for the softest, instead of Shore A
	Elongation *float64 `json:"elongation_pct"` // at break
	HeatLimit  *float64 `json:"heat_limit_C"`
	Shrinkage  *float64 `json:"shrinkage_pct"` // linear, of the cured rubber
	Needed     *float64 `json:"needed_strain"` // the strain that stripping asks for; nil = no finite answer
	Have       *float64 `json:"have_g"`        // left on the shelf
	HaveShort  *float64 `json:"have_short_g"`  // what is missing of it; 0 = it does
	LeftOver   *float64 `json:"left_over_g"`   // of the kits bought
	HaveWays   []Saving `json:"have_ways"`     // what would make it do, where it does not

	Owned  bool   `json:"owned"`  // the shop has it, or its data sheet is in hand; else it is the catalogue's
	Lot    string `json:"lot"`    // of the shop's stock; "" = not said
	Opened string `json:"opened"` // the day; "" = not said
	UseBy  string `json:"use_by"` // likewise

	BareSG      float64           `json:"sg_without_additives"`
	Additives   []Additive        `json:"additives"` // pigment, thinner, thickener, in the order of stirring in
	Tear        *float64          `json:"tear_N_per_mm"`
	PotLifeLow  *float64          `json:"pot_life_low_min"`  // as rubbers differ in what warmth does to them
	PotLifeHigh *float64          `json:"pot_life_high_min"` // likewise; both equal pot_life_min at the data sheet's temperature
	Vacuum      *Vacuum           `json:"vacuum"`            // nil = no vacuum step
	Practice    []rubber.Practice `json:"practice"`          // how to mix it and how to see that it has cured
	Risks       []Risk            `json:"risks_to_pattern"`  // of each step, where the pattern cannot be replaced
}

// Additive is something that is stirred into the rubber.
type Additive struct {
	Kind  material.AdditiveKind `json:"kind"`
	Name  string                `json:"name"`
	Share float64               `json:"share_pct"` // of the finished mix by weight
	SG    float64               `json:"sg"`
	Mass  float64               `json:"mass_g"` // in all pours together
}

// Saving is one way to make the rubber on the shelf do.
type Saving struct {
	What  SavingKind `json:"what"`
	Saves *float64   `json:"saves_g"` // of what is weighed; nil = not known here
	Does  bool       `json:"enough"`
	How   SavingHow  `json:"how"` // what to build, with its measures, and its limits
	// Inside is the container that the way asks for, where it asks for one.
	Inside *[3]float64 `json:"interior_mm"`
	Wall   *float64    `json:"wall_mm"`
}

// Vacuum is what degassing the mixed rubber takes.
type Vacuum struct {
	Minutes  float64  `json:"minutes"`    // per batch
	Altitude float64  `json:"altitude_m"` // of the workshop
	Most     float64  `json:"most_inHg"`  // the most a gauge can show there
	Wanted   float64  `json:"wanted_inHg"`
	Gauge    *float64 `json:"gauge_inHg"` // what the user's pump reaches; nil = not said
	Pressure *float64 `json:"pressure_kPa"`
	Bubble   *float64 `json:"bubble_times"` // how many times its volume a bubble grows to
	CupRoom  float64  `json:"cup_room_times"`
	Lid      *float64 `json:"lid_load_N"` // on the chamber's lid; nil = its bore is not known
}

// Pour is one pouring: the whole mold, or a half.
type Pour struct {
	Half    rubber.Half `json:"half"`
	Volume  float64     `json:"volume_mm3"`
	PartA   *float64    `json:"part_a_g"`
	PartB   *float64    `json:"part_b_g"`
	Batches []Batch     `json:"batches"`
	People  int         `json:"people"`  // who stir and pour in turn, each with a cup, so that no batch comes late
	Mass    float64     `json:"mass_g"`  // to mix
	Extra   float64     `json:"extra_g"` // of that, for loss

	Additives []float64 `json:"additives_g"` // in the order of the rubber's additives
}

// Batch is one cup.
type Batch struct {
	PartA *float64 `json:"part_a_g"`
	PartB *float64 `json:"part_b_g"`
	Cup   float64  `json:"cup_ml"` // smallest cup to stir it in
	Coat  int      `json:"coat"`   // of a brushed mold, from 1; 0 = poured

	Additives []float64 `json:"additives_g"` // in the order of the rubber's additives
}

// Kit is a number of packages to buy.
type Kit struct {
	Size  float64      `json:"size_g"`
	Count int          `json:"count"`
	Cost  money.Amount `json:"cost"`
}

// Hardness is the range that would do, and why. Nil is no finite answer.
type Hardness struct {
	Low        *float64       `json:"low_shore_a"`
	High       *float64       `json:"high_shore_a"`
	LowReason  finding.Remark `json:"low_reason"`
	HighReason finding.Remark `json:"high_reason"`
	LowSource  finding.Remark `json:"low_source"` // where the bound came from
	HighSource finding.Remark `json:"high_source"`

	Wants     []Want      `json:"wants"`     // everything that asked for soft or firm
	Preferred float64     `json:"preferred"` // Shore A to look for first
	Life      rubber.Life `json:"life"`      // by the copies wanted
	Share     float64     `json:"usable_share_of_elongation"`
	Opens     []WayOpen   `json:"opens"` // where the range is empty: what would open it
	Curve     []Strip     `json:"curve"` // strain that each hardness stands, for a chart

	// Of the rubber that was chosen; a force is good to the factor beside it.
	OpenForce   *float64        `json:"open_force_N"`        // of each hand that opens it evenly; nil = no ring holds
	PullForce   *float64        `json:"pull_off_force_N"`    // straight out of the mold, out of its container; likewise
	PullIn      *float64        `json:"pull_in_container_N"` // in it; nil also where it does not come
	PullHow     rubber.Drawing  `json:"pull_off_how"`
	HandsForce  *float64        `json:"hands_force_N"` // what hands have to do, which the range goes by; nil = nothing holds
	HandsHow    rubber.Gripping `json:"hands_how"`
	Eased       []Eased         `json:"eased"`
	ForceFactor *float64        `json:"force_factor"`

	Alone       *float64 `json:"alone_shore_a"` // the softest that stands without its container; nil = none
	AloneReason Alone    `json:"alone_reason"`
}

// Eased is something that makes it easier for hands, and what they pull then.
type Eased struct {
	How   rubber.Easing `json:"how"`
	Force float64       `json:"force_N"` // 0 = nothing holds any more
}

// WayOpen is a way to bring soft and firm together, with the bounds it gives.
type WayOpen struct {
	What  rubber.Opening `json:"what"`
	Low   float64        `json:"low_shore_a"`
	High  float64        `json:"high_shore_a"`
	Opens bool           `json:"opens"` // some rubber then does all that is asked
}

// Toward is which way a want pulls.
type Toward string

// The ways.
const (
	Soft Toward = "soft"
	Firm Toward = "firm"
)

// Want is one thing that asks for a soft or a firm rubber.
type Want struct {
	Toward Toward         `json:"toward"`
	ShoreA float64        `json:"shore_a"`
	Why    finding.Remark `json:"why"`
	Source finding.Remark `json:"source"`
	Won    bool           `json:"won"` // false: something stronger overruled it
}

// Strip is what a rubber of one hardness lets go of. Strains are length added
// per length; the force is what hands pull to strip it, N.
type Strip struct {
	ShoreA      float64  `json:"shore_a"`
	Comfortable float64  `json:"comfortable_strain"` // for a long life
	Allowed     float64  `json:"allowed_strain"`     // for the castings wanted
	Limit       float64  `json:"limit_strain"`
	Force       *float64 `json:"force_N"`
}

// Casting is one pull and how many molds a run takes.
type Casting struct {
	Material     string      `json:"material"`
	PourUp       *[3]float64 `json:"pour_up"` // the side that faces up while casting
	Volume       float64     `json:"volume_mm3"`
	Mass         *float64    `json:"mass_g"`
	PartA        *float64    `json:"part_a_g"`
	PartB        *float64    `json:"part_b_g"`
	Powder       *float64    `json:"powder_g"`
	PullsPerMold *int        `json:"pulls_per_mold"`
	MoldsNeeded  *int        `json:"molds_needed"`

	MassToMix   *float64  `json:"mass_to_mix_g"`    // with sprue and loss
	Sprue       float64   `json:"sprue_volume_mm3"` // sprue and vents
	Water       *float64  `json:"water_g"`          // gypsum and cement
	PullsLow    *int      `json:"pulls_low"`
	PullsHigh   *int      `json:"pulls_high"`
	PullsUsual  *int      `json:"pulls_usual"`    // pulls_per_mold where the shop's own molds are not asked
	OwnMolds    int       `json:"pulls_from"`     // molds of the shop's own that pulls are from; 0 = they are what is usual
	Copies      int       `json:"copies"`         // that are wanted
	Cavities    int       `json:"cavities"`       // that volume, masses and pulls are of together
	HottestC    *float64  `json:"hottest_C"`      // the most of its peak or pouring temperature
	Shrinkage   *float64  `json:"shrinkage_pct"`  // linear, rubber and casting together
	ResizeTo    *float64  `json:"resize_factor"`  // make the pattern this many times as big for a true casting
	DemoldAfter *float64  `json:"demold_min"`     // until it can be taken out
	DemoldLow   *float64  `json:"demold_low_min"` // the usual range; both equal where the shop file says it
	DemoldHigh  *float64  `json:"demold_high_min"`
	Face        *ColdFace `json:"cold_face"` // metal powder in resin; nil = another material
	Foam        *Foam     `json:"foam"`      // expanding foam; nil = another material
	Note        string    `json:"note"`
}

// ColdFace is the face of a cold casting: powder dusted dry into the mold, a
// coat of powder in resin, and what backs it. Masses g to mix, with loss.
type ColdFace struct {
	Thickness float64 `json:"thickness_mm"`
	Area      float64 `json:"area_mm2"`
	Volume    float64 `json:"volume_mm3"`
	Resin     float64 `json:"resin_g"`
	Powder    float64 `json:"powder_g"` // in that resin
	Backing   float64 `json:"backing_resin_g"`
	Dust      float64 `json:"dust_g"` // dry, before it
	DustLow   float64 `json:"dust_low_g"`
	DustHigh  float64 `json:"dust_high_g"`
	Share     float64 `json:"powder_share_of_volume"`
}

// Foam is what expanding foam does to its mold. Nil is unknown.
type Foam struct {
	Pack     float64  `json:"pack_share"` // more foam than fills the mold freely
	Low      float64  `json:"pressure_low_kPa"`
	High     float64  `json:"pressure_high_kPa"`
	LidArea  *float64 `json:"lid_area_mm2"`
	LidLow   *float64 `json:"lid_force_low_N"`
	LidHigh  *float64 `json:"lid_force_high_N"`
	SideHigh *float64 `json:"side_force_high_N"`
}

// Cost is a list of lines that add up. All amounts are nil where the job is refused.
type Cost struct {
	Currency     string        `json:"currency"`
	Lines        []CostLine    `json:"lines"`
	Subtotal     *money.Amount `json:"subtotal"`
	Overhead     *money.Amount `json:"overhead"`
	Markup       *money.Amount `json:"markup"`  // on the cost
	Margin       *money.Amount `json:"margin"`  // of the price
	Minimum      *money.Amount `json:"minimum"` // that the shop asks for; nil = none is stated
	Total        *money.Amount `json:"total"`   // before tax
	Tax          *money.Amount `json:"tax"`     // nil = none is stated
	TotalWithTax *money.Amount `json:"total_with_tax"`
	Deposit      *money.Amount `json:"deposit"`
	PerCasting   *money.Amount `json:"per_casting"` // of the total, with its share of the molds
	Draft        bool          `json:"draft"`
	DraftBecause []Unsettled   `json:"draft_because"`
	Without      []Unpriced    `json:"without"` // the lines that have no price
	Breaks       []Break       `json:"breaks"`
	Pays         []Pays        `json:"pays"` // from how many castings on something else would pay
	Days         *int          `json:"days"` // working days until the last casting; nil = not known
	Rounding     Rounding      `json:"rounding"`
	Offer        *Offer        `json:"offer"` // what a client is asked to pay

	unpriced missing
}

// CostLine is one thing that costs money; one that has no price has no amount.
type CostLine struct {
	For       string        `json:"for,omitempty"` // the pattern, where there are several; "" = all of them
	What      Bought        `json:"what"`
	Quantity  float64       `json:"quantity"`
	Unit      string        `json:"unit"`
	UnitPrice *money.Amount `json:"unit_price"`
	Amount    *money.Amount `json:"amount"`
}

// Break is what some number of copies costs.
type Break struct {
	Copies     int           `json:"copies"`
	Molds      int           `json:"molds"`
	Total      *money.Amount `json:"total"`
	PerCasting *money.Amount `json:"per_casting"`
	Days       *int          `json:"days"`
}

// Schedule is the order of work in minutes from the first stir.
type Schedule struct {
	Steps       []Step  `json:"steps"`
	Temperature float64 `json:"temperature_C"`
}

// Step is one line of the schedule.
type Step struct {
	What  schedule.Task `json:"what"`
	Start float64       `json:"start_min"`
	End   float64       `json:"end_min"`
	Hands float64       `json:"hands_min"` // of that with hands at work, of two people's together
	Half  rubber.Half   `json:"half"`
}

// Verdict answers the first question: does it come out.
type Verdict struct {
	Answer  Answer           `json:"answer"`
	Because []finding.Remark `json:"because"`
	Slit    *seam.Slit       `json:"slit"` // of a mold over a board that is slit at the back
}
