package mesh

// Tolerances. Every one is a share of the pattern's own size, so that no
// figure depends on the unit or on where the pattern lies. What decides yes or
// no about the surface itself (orientation, crossing, hull) has none: the
// predicates are exact, and their error bounds, which only choose between quick
// and careful arithmetic, stand with their derivation in predicates.go.
const (
	// CrumbShare: a piece is a crumb (loose debris of a scan) if its largest
	// size is under this share of the largest piece's, however far apart the
	// pieces stand, and it touches no other piece.
	// Common practice, no source: a hundredth of a 200 mm figure is a 2 mm fleck.
	CrumbShare = 0.01

	// TouchShare: pieces touch where they share a vertex, cross, or come
	// closer than this share of the pattern's largest size. Parts that were
	// drawn face to face come out of a 32-bit file up to 2^-24 of their
	// coordinates apart, and of a text file with six digits up to 1e-6; a
	// hundred-thousandth covers both with room, and is 2 µm on a 200 mm
	// figure, less than any rubber or caliper can tell.
	TouchShare = 1e-5
)
