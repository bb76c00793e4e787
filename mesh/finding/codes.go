package finding

// Codes of mesh/demold, until it declares its own.

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
