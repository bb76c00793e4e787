package rubber

// BadInput is a request that makes no sense: what was given, and what is wrong
// with it.
type BadInput struct {
	Input Input
	Wrong Wrong
	// What the words rest on, where it applies: the figure, its bounds, a word or
	// name as given, the names that are known.
	Value, Low, High float64
	Text             string
	Known            []string
}

// Error names what was given.
func (e *BadInput) Error() string { return "rubber: bad input: " + string(e.Input) }

// Input names what a job can be given.
type Input string

// The inputs.
const (
	InputRubber    Input = "rubber"
	InputSG        Input = "specific gravity"
	InputIn3PerLb  Input = "specific volume"
	InputSGA       Input = "gravity of A"
	InputSGB       Input = "gravity of B"
	InputMix       Input = "mixing ratio"
	InputMixBy     Input = "measure of the ratio"
	InputExtra     Input = "mixing loss"
	InputWeighTo   Input = "step of the scale"
	InputPrice     Input = "price"
	InputPigment   Input = "pigment"
	InputThinner   Input = "thinner"
	InputThickener Input = "thickener"
	InputHave      Input = "rubber on the shelf"
	InputMold      Input = "kind of mold"
	InputTemp      Input = "temperature"
	InputMass      Input = "mass of the pattern"
	InputInfill    Input = "infill"
	InputCastWall  Input = "wall of the casting"
	InputDisplaced Input = "displaced volume"
	InputCopies    Input = "copies"
	InputPattern   Input = "material of the pattern"
	InputRelease   Input = "release"
	InputCast      Input = "casting material"
	InputBox       Input = "box"
	InputSleeve    Input = "sleeve"
	InputFrustum   Input = "frustum"
)

// Wrong is what is wrong with an input.
type Wrong int

// What can be wrong.
const (
	OutOfBounds  Wrong = iota // the input lies between Low and High
	NoSuchFigure              // no rubber has that; likewise
	NotOffered                // Text is none of the words that are taken
	NotKnown                  // no such name
	Disagrees                 // Value is a gravity of Low, and High was given
	NotPositive               // both parts of a ratio must be over zero
	Negative                  // it is zero or more
	NoScaleHasIt
	TooMuchStirred // Value per cent in all, High at most
	NoWorkshop     // of that temperature
	NoCount
	NoMeasure  // no inside measurement
	NotOne     // one inside is wanted
	NoRoomLeft // Value mm³ in High
)
