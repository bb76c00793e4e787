package finding

// Every code that moldtally can print, in one table; a test checks that each
// is used and that no finding carries another. The part before the dot is the
// stage that finds it.
const (
	// The file and its unit.
	UnitAssumed  Code = "file.unit-assumed"
	UnitDoubtful Code = "file.unit-doubtful"

	// The mesh as read.
	OpenEdges Code = "mesh.open-edges"
)

// The rubber, the casting, the money.
const (
	RubberInhibited  Code = "rubber.cure-inhibited"
	RubberPrepare    Code = "rubber.prepare-pattern"
	RubberPatchTest  Code = "rubber.patch-test"
	RubberUnknown    Code = "rubber.pattern-material-unknown"
	RubberFamily     Code = "rubber.family-swap"
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

	PatternIrreplaceable Code = "pattern.irreplaceable"
	PatternSoftens       Code = "pattern.softens"
	PatternMassDoubt     Code = "pattern.mass-doubtful"
	PatternDunked        Code = "pattern.dunked-differs"

	CastTooHot   Code = "casting.too-hot"
	CastNearHot  Code = "casting.near-heat-limit"
	CastNotFood  Code = "casting.not-for-food"
	CastAttack   Code = "casting.attacks-rubber"
	CastPressure Code = "casting.foam-pressure"
	CastHollow   Code = "casting.hollow-estimate"
	CastAir      Code = "casting.traps-air"
	CastFamily   Code = "casting.other-rubber-better"

	CostDraft Code = "cost.draft"

	MoldSwitched Code = "mold.kind-chosen"
)
