package finding

// Codes of mesh/demold, until it declares its own.

// Undercuts, pockets and air.
const (
	Locked       Code = "demold.locked"
	LongWayRound Code = "demold.long-way-round"
	SealedPocket Code = "demold.sealed-pocket"
	RaggedBottom Code = "demold.ragged-bottom"
)
