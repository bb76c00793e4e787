package rubber

// Clock is how long a batch takes, and how long it stays liquid: minutes, and g/min
// poured. A Pot of 0 is not known.
type Clock struct{ Pot, Stir, Degas, Rate float64 }

// dayMinutes is the longest that one pour may take; a judgement: a working day.
const dayMinutes = 480.0

// aloneShare is how small a share of the largest batch one person's may be before a
// second is asked for; a judgement.
const aloneShare = 0.5

// mostPeople is how many are asked for at most; a judgement.
const mostPeople = 2

// Every is the time from one batch's pour to the next one's, min, for batches of a
// mass, g: each person, with a cup of their own, stirs, degasses and pours in turn,
// and there is one vacuum chamber.
func (c Clock) Every(grams float64, people int) float64 {
	pour := grams / c.Rate
	return max(pour, c.Degas, (c.Stir+c.Degas+pour)/float64(people))
}

// Wet is the most that a batch may weigh, g, so that the next arrives within its pot
// life, which runs from its first stir: stir + degas + Every ≤ pot. For one person
// that is 2·(stir + degas) + pour ≤ pot. It is 0 or less where even the smallest
// comes too late.
func (c Clock) Wet(people int) float64 {
	ready := c.Stir + c.Degas
	if ready+c.Degas > c.Pot {
		return 0
	}
	n := float64(people)
	return c.Rate * min(c.Pot-ready, n*(c.Pot-ready)-ready)
}
