package boxfit

import (
	_ "embed"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"sync"

	"moldtally/mesh/unit"
)

//go:embed data/boards.tsv
var boardData string

//go:embed data/tubes.tsv
var tubeData string

// BoardStock is a sheet material for box walls. Every figure is a typical value
// with its source; the data sheet, or a caliper, of the board at hand wins.
type BoardStock struct {
	Name            string
	Material        string
	Nominal         string  // what it is sold as
	Thickness       float64 // actual, mm
	ThicknessSource string
	ELow, EHigh     float64 // bending modulus, GPa; bow is figured with the low end
	ESource         string
	SG              float64 // specific gravity
	SGSource        string
	Creep           float64 // how much more it bows when loaded overnight
	CreepSource     string
}

// TubeStock is a tube that is sold by the length, for sleeves. Sizes in mm.
type TubeStock struct {
	Name     string
	Family   string
	OD       float64 // outside diameter
	Wall     float64 // average wall: (OD - Bore) / 2
	Bore     float64 // average inside diameter
	MinWall  float64 // least wall; OD - 2·MinWall is the largest possible bore
	SG       float64
	SGSource string
	Source   string
}

var loadBoards = sync.OnceValues(func() ([]BoardStock, error) { return parseBoards(boardData) })
var loadTubes = sync.OnceValues(func() ([]TubeStock, error) { return parseTubes(tubeData) })

// Boards returns the boards known, in the order of the data file. The slice is
// the caller's own.
func Boards() []BoardStock {
	b, err := loadBoards()
	if err != nil {
		panic(err) // the file is part of the program, and a test reads it
	}
	return append([]BoardStock(nil), b...)
}

// Tubes returns the tubes known, by bore. The slice is the caller's own.
func Tubes() []TubeStock {
	t, err := loadTubes()
	if err != nil {
		panic(err)
	}
	return append([]TubeStock(nil), t...)
}

// DefaultBoard is the board a box is planned in when none is named: common in
// joinery scrap, stiff, and most rubbers let go of its face (common practice,
// no source).
const DefaultBoard = "melamine-16"

// BoardNamed finds a board by its name.
func BoardNamed(name string) (BoardStock, error) {
	var names []string
	for _, b := range Boards() {
		if strings.EqualFold(b.Name, name) {
			return b, nil
		}
		names = append(names, b.Name)
	}
	return BoardStock{}, fmt.Errorf("boxfit: no board named %q; known are %s", name, strings.Join(names, ", "))
}

// table reads tab-separated rows under a header line; lines that begin with #
// are notes. Every cell must be filled.
func table(data string, row func(get func(string) string, num func(string) float64)) error {
	var head []string
	for n, line := range strings.Split(data, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		cells := strings.Split(line, "\t")
		if head == nil {
			head = cells
			continue
		}
		if len(cells) != len(head) {
			return fmt.Errorf("boxfit: line %d has %d cells, want %d", n+1, len(cells), len(head))
		}
		var bad error
		get := func(name string) string {
			for i, h := range head {
				if h == name {
					if strings.TrimSpace(cells[i]) == "" {
						bad = fmt.Errorf("boxfit: line %d: %s is empty", n+1, name)
					}
					return cells[i]
				}
			}
			bad = fmt.Errorf("boxfit: no column %s", name)
			return ""
		}
		num := func(name string) float64 {
			f, err := strconv.ParseFloat(get(name), 64)
			if err != nil && bad == nil {
				bad = fmt.Errorf("boxfit: line %d: %s: %w", n+1, name, err)
			}
			return f
		}
		row(get, num)
		if bad != nil {
			return bad
		}
	}
	return nil
}

func parseBoards(data string) (list []BoardStock, err error) {
	err = table(data, func(get func(string) string, num func(string) float64) {
		list = append(list, BoardStock{
			Name: get("name"), Material: get("material"), Nominal: get("nominal"),
			Thickness: num("thickness_mm"), ThicknessSource: get("thickness_source"),
			ELow: num("e_low_gpa"), EHigh: num("e_high_gpa"), ESource: get("e_source"),
			SG: num("sg"), SGSource: get("sg_source"),
			Creep: num("creep"), CreepSource: get("creep_source"),
		})
	})
	return list, err
}

func parseTubes(data string) (list []TubeStock, err error) {
	err = table(data, func(get func(string) string, num func(string) float64) {
		mm := 1.0
		if get("unit") == "in" {
			mm = float64(unit.Inch)
		}
		t := TubeStock{
			Name: get("name"), Family: get("family"), OD: num("od") * mm, MinWall: num("wall") * mm,
			SG: num("sg"), SGSource: get("sg_source"), Source: get("source"),
		}
		t.Wall = t.MinWall + num("tolerance")*mm/2
		t.Bore = t.OD - 2*t.Wall
		list = append(list, t)
	})
	sort.SliceStable(list, func(i, j int) bool { return list[i].Bore < list[j].Bore })
	return list, err
}
