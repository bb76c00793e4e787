package boxfit

// Printed walls, mm: by the largest inside size (common practice, no source, as of
// printed shells), thickened until they hold, and no thicker than anyone prints.
var printedThick = [...]float64{3, 4, 5.5, 6}

const printedMost = 10.0

// printedApart is how far apart the bolts of a printed shell stand, mm, by the same: as
// close as is usual, since plastic creeps (common practice, no source).
var printedApart = [...]float64{80, 80, 100, 120}

// PrintedShell is how thick a printed mother mold is for a pattern of a largest size,
// the bore of its pour hole, and its bolts and how far apart they stand at most, mm.
func PrintedShell(largest float64) (thickness, spout, bolt, apart float64) {
	class := sizeClass(largest)
	return printedThick[class], shellSpout[class], boltSize[class], printedApart[class]
}

// shellSpout is the pour hole of a mother mold by size class, mm (common practice, no
// source: 25 to 40).
var shellSpout = [...]float64{25, 30, 35, 40}

// printedE is the bending modulus of a printed polyester wall along its layers, GPa
// (from memory, unverified; the solid plastic has 3 to 3.6).
const printedE = 2.2

// PrintedWall is how thick the walls of a printed container are, mm, by its largest
// inside size, how far the widest flat one bows under rubber of a specific gravity,
// mm, and whether that is further than a flat-sided mold may; a round one (width 0)
// bears it as a hoop.
func PrintedWall(largest, width, height, fill, sg float64) (thickness, bow float64, bows bool) {
	t := printedThick[sizeClass(largest)]
	if width <= 0 {
		return t, 0, false
	}
	for {
		bow = wall{width, height, fill, sg, printedE, t}.bow(free, 0)
		if bows = bow > allowedBow(width); !bows || t >= printedMost {
			return t, bow, bows
		}
		t += 0.5
	}
}
