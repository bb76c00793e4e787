package labor

// Class is the size of a pattern as labor goes by it.
type Class int

// The classes, by the pattern's largest size.
const (
	S1 Class = iota // to 50 mm
	S2              // to 150 mm
	S3              // to 300 mm
	S4              // to 600 mm
	S5              // to 1200 mm, and everything larger
)

// classes is how many there are.
const classes = 5

// upTo is the largest pattern of each class, mm. Judgement of this program.
var upTo = [classes]float64{50, 150, 300, 600, 1200}

// ClassOf is the class of a pattern by its largest size, mm. What is larger than
// the last class is in that, and beyond: blankets go on so, a solid mold is made
// of a divided pattern, and minutes are those of one of its parts. A size that is
// no number is in the first.
func ClassOf(longest float64) (c Class, beyond bool) {
	for i, most := range upTo {
		if !(longest > most) {
			return Class(i), false
		}
	}
	return S5, true
}
