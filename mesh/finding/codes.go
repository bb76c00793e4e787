package finding

// Every code that moldtally can print, in one table; a test checks that each
// is used and that no finding carries another. The part before the dot is the
// stage that finds it.
const (
	// The file and its unit.
	UnitAssumed  Code = "file.unit-assumed"
	UnitDoubtful Code = "file.unit-doubtful"

	// The mesh as read.
	OpenTop Code = "mesh.open-top"
)

// The rubber, the casting, the money.
const (
	RubberInhibited  Code = "rubber.cure-inhibited"
	RubberPrepare    Code = "rubber.prepare-pattern"
	RubberPatchTest  Code = "rubber.patch-test"
	RubberRatio      Code = "rubber.ratio-off"
	RubberScale      Code = "rubber.scale-too-coarse"
	RubberMixAssumed Code = "rubber.mix-assumed"
	RubberGravity    Code = "rubber.part-gravity-missing"
	RubberPotLife    Code = "rubber.pot-life-too-short"
	RubberBatches    Code = "rubber.batches"
	RubberTemp       Code = "rubber.temperature"
	RubberHaveShort  Code = "rubber.shelf-short"
	RubberHardness   Code = "rubber.hardness-conflict"
	RubberStrain     Code = "rubber.strain-over-limit"
	RubberForce      Code = "rubber.hard-to-strip"
	RubberStands     Code = "rubber.cannot-stand-alone"
	RubberBrush      Code = "rubber.brush-only"
	RubberSecondHalf Code = "rubber.release-between-halves"
	RubberVacuum     Code = "rubber.vacuum-headroom"
	RubberChamber    Code = "rubber.chamber-too-small"

	RubberAdditive Code = "rubber.additive"
	RubberSelfHeat Code = "rubber.warms-itself"
	RubberGauge    Code = "rubber.vacuum-gauge"
	RubberRelease  Code = "rubber.release-chosen"

	PatternIrreplaceable Code = "pattern.irreplaceable"
	PatternSoftens       Code = "pattern.softens"
	PatternMassDoubt     Code = "pattern.mass-doubtful"
	PatternDunked        Code = "pattern.dunked-differs"

	CastTooHot   Code = "casting.too-hot"
	CastNearHot  Code = "casting.near-heat-limit"
	CastNotFood  Code = "casting.not-for-food"
	CastPressure Code = "casting.foam-pressure"
	CastHollow   Code = "casting.hollow-estimate"
	CastFamily   Code = "casting.other-rubber-better"
	CastStiff    Code = "casting.powder-too-thick"

	MoldSwitched Code = "mold.kind-chosen"
)

// How the pattern stretches the rubber, and how it stands.
const (
	Tunnel  Code = "demold.rubber-closes-through"
	ThinWeb Code = "demold.thin-web"
	ThinFin Code = "demold.thin-fin"
)

// Undercuts, pockets and air.
const (
	Locked       Code = "demold.locked"
	LongWayRound Code = "demold.long-way-round"
	SealedPocket Code = "demold.sealed-pocket"
	RaggedBottom Code = "demold.ragged-bottom"
	RubberAir    Code = "demold.air-in-rubber"
	CastingAir   Code = "demold.air-in-casting"
)
