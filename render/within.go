package render

// How well figures are known that come without bounds of their own, as shares of
// them: they decide how many digits are printed, and nothing else. Judgements of
// this program.
const (
	withinHalf    = 0.001 // a half of the pattern: a sum over its triangles, cut by a plane
	withinColumns = 0.01  // rubber under, in or behind the pattern: counted in columns; so is what is mixed for it
	withinSaving  = 0.02  // rubber that a change would save
	withinCoat    = 0.03  // a face coat, laid by hand
	withinMass    = 0.05  // what is to be lifted, and what is left in the cans
	withinAir     = 0.1   // air that is caught
	withinSprue   = 0.5   // what sprue and vents hold: 3 to 10 % of the casting
)

// What is too little to be worth words: judgements of this program.
const (
	leastNeed  = 0.005 // strain: half a per cent, which prints as 1 or 0
	leastShare = 0.005 // of the pattern's surface
)
