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
