package rubber

import "math"

// Coats of a brushed mold, mm: the first is thin and unthickened, so that it runs
// into every corner; the others are as thick as hang (common practice, no source:
// 0.3 to 0.6 mm, then 1 to 2.2).
const (
	firstCoat = 0.6
	nextCoat  = 2.2
	// usualCoats is how many where the thickness is not known.
	usualCoats = 4
)

// Coats is how many coats a brushed mold of a thickness, mm, takes; 0 = not known.
func Coats(thick float64) int {
	if thick <= 0 {
		return usualCoats
	}
	return 1 + max(1, int(math.Ceil((thick-firstCoat)/nextCoat-1e-9)))
}

// FirstCoat is the share of a brushed mold of a thickness, mm, that its first coat
// is: no more than of each of the others.
func FirstCoat(thick float64) float64 {
	if thick <= 0 {
		return 1.0 / usualCoats
	}
	return min(firstCoat/thick, 1/float64(Coats(thick)))
}

// Bounds of the time from a place's brushing until it is tacky, no longer sticky, and
// takes the next coat, min, and the share of the demold time that it is; common
// practice, no source.
const (
	tackyLeast = 30.0
	tackyMost  = 90.0
	tackyShare = 1.0 / 8
)

// Tacky is how long a brushed place waits for its next coat, min, in a rubber of a
// demold time and a pot life (0 = not known), min: an eighth of the demold time, 30 to
// 90 min, and never before the rubber has begun to set.
func Tacky(demold, pot float64) float64 {
	return max(pot, min(tackyMost, max(tackyLeast, float64(demold*tackyShare))))
}

// CoatTime is how long one of several cups of a coat that takes some minutes to brush
// takes, min: to stir, to degas, and to brush on its share.
func (c Clock) CoatTime(brushing float64, cups int) float64 {
	return c.Stir + c.Degas + brushing/float64(max(cups, 1))
}

// coatCups is the fewest cups that a coat is mixed in so that each is brushed on
// within the share of the pot life in which rubber spreads well, which runs from its
// first stir.
func (q MixRequest) coatCups() int {
	left := float64(PotShare*q.Clock.Pot) - q.Clock.Stir - q.Clock.Degas
	if q.Clock.Pot <= 0 || left <= 0 || q.Brushing <= 0 {
		return 1
	}
	return min(maxBatches, int(math.Ceil(q.Brushing/left-1e-9)))
}

// coats works out the cups of a pour, mm³, that is brushed on, coat by coat: as many
// for each coat, and no more in one than is brushed out of it in time.
func (b *blending) coats(p *MixPour, volume float64) {
	q := b.q
	first := 1 / float64(q.Coats)
	if q.First > 0 && q.Coats > 1 {
		first = min(first, q.First)
	}
	byTime := q.coatCups()
	var rest float64
	if q.Coats > 1 {
		rest = (1 - first) / float64(q.Coats-1)
	}
	cups, _, _ := q.batches(max(first, rest)*volume, b.room, 0, byTime)
	for coat := range q.Coats {
		share := first
		if coat > 0 {
			share = rest
		}
		n, extra, clings := q.batches(share*volume, b.room, 0, cups)
		mass := float64(q.SG*share*volume/1000) + extra
		p.ToMix, p.Extra = p.ToMix+mass, p.Extra+extra
		b.filmWins = b.filmWins || clings
		b.thin = coat == 0 && q.Coats > 1
		batch := b.cup(p, n, mass/float64(n))
		batch.Coat = coat + 1
		for range n {
			p.Batches = append(p.Batches, batch)
		}
	}
	b.thin = false
	p.People = q.brushers(cups)
	b.batches.Coats, b.byTime = q.Coats, cups == byTime
	b.batches.Count, b.batches.People = max(b.batches.Count, cups), max(b.batches.People, p.People)
	b.batches.Minutes = max(b.batches.Minutes, q.brushed(cups, p.People))
}

// brushed is how long all coats take, min, where each is mixed in some cups and people
// brush them side by side; waits until they are tacky not counted.
func (q MixRequest) brushed(cups, people int) float64 {
	rounds := math.Ceil(float64(cups) / float64(people))
	return float64(q.Coats) * rounds * q.Clock.CoatTime(q.Brushing, cups)
}

// brushers is how many people brush side by side, each out of a cup of their own, so
// that all coats are on within a working day.
func (q MixRequest) brushers(cups int) int {
	people := 1
	for people < min(mostPeople, cups) && q.brushed(cups, people) > dayMinutes {
		people++
	}
	return people
}
