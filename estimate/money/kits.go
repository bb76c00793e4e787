package money

import (
	"math"
	"slices"
)

// Kit is a package that can be bought: its size in grams and its price.
type Kit struct {
	SizeG float64
	Price Amount
}

// Buy is a number of one kit.
type Buy struct {
	Kit   Kit
	Count int
}

// maxCells bounds the table of the exact search (about 12 bytes each).
const maxCells = 4_000_000

// Cheapest returns the kits that cover need grams for the least money; among
// equals the least left over, then the fewest kits. Sizes count to the gram,
// downwards. The search is exact (dynamic programming over every total in
// steps of the sizes' common divisor) up to several tonnes; beyond, the bulk is
// taken in the kit that is cheapest by the kilogram and the rest is exact. It
// returns nil where need is not over zero or no kit has a size and a price.
func Cheapest(kits []Kit, need float64) (buys []Buy, total Amount) {
	var sizes []int
	var use []Kit
	for _, k := range kits {
		if k.SizeG >= 1 && k.SizeG < 1e9 && k.Price >= 0 {
			use = append(use, k)
			sizes = append(sizes, int(math.Floor(k.SizeG)))
		}
	}
	if len(use) == 0 || !(need > 0) || need > 1e12 {
		return nil, 0
	}
	g := 0
	for _, s := range sizes {
		g = gcd(g, s)
	}
	n := int(math.Ceil(need/float64(g) - 1e-9)) // cells to cover
	count := make([]int, len(use))
	best := 0
	for i := range use {
		// cheaper by the gram, without division
		if float64(use[i].Price)*float64(sizes[best]) < float64(use[best].Price)*float64(sizes[i]) {
			best = i
		}
	}
	if cell := sizes[best] / g; n > maxCells {
		k := (n - maxCells + cell - 1) / cell
		count[best] += k
		n -= k * cell
	}
	widest := slices.Max(sizes) / g
	// at[x] is the least cost of kits that total exactly x cells.
	type state struct {
		cost Amount
		kits int32
		last int32 // kit added last, -1 = none, -2 = out of reach
	}
	at := make([]state, n+widest)
	for x := 1; x < len(at); x++ {
		at[x].last = -2
		for i := range use {
			from := x - sizes[i]/g
			if from < 0 || at[from].last == -2 {
				continue
			}
			s := state{at[from].cost + use[i].Price, at[from].kits + 1, int32(i)}
			if at[x].last == -2 || s.cost < at[x].cost || s.cost == at[x].cost && s.kits < at[x].kits {
				at[x] = s
			}
		}
	}
	end := -1
	for x := max(n, 1); x < len(at); x++ {
		if at[x].last != -2 && (end < 0 || at[x].cost < at[end].cost) {
			end = x
		}
	}
	for x := end; x > 0; {
		i := at[x].last
		count[i]++
		x -= sizes[i] / g
	}
	for i, c := range count {
		if c > 0 {
			buys = append(buys, Buy{use[i], c})
			total += use[i].Price * Amount(c)
		}
	}
	slices.SortStableFunc(buys, func(a, b Buy) int {
		switch {
		case a.Kit.SizeG > b.Kit.SizeG:
			return -1
		case a.Kit.SizeG < b.Kit.SizeG:
			return 1
		}
		return 0
	})
	return buys, total
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
