package schedule

import (
	"cmp"
	"slices"

	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// ordering is an order of work as it is laid out: its steps so far, and the time, min.
type ordering struct {
	r   Request
	out []Step
	t   float64
}

// Order lays the steps out, each after the one before. Batches of a half are
// stirred one after the other, by two people in turn, and each is poured while the
// one before is wet; a coat goes on where the one before is tacky.
func Order(r Request) []Step {
	o := ordering{r: r}
	for _, c := range r.Before {
		o.t -= c.Minutes
	}
	last := rubber.Half("")
	for i, p := range r.Pours {
		last = p.Half
		if i == 0 {
			o.all(last, r.Before)
		} else {
			o.turn(last)
		}
		switch {
		case r.Coats > 0:
			o.brush(p)
		case p.People > 1:
			o.inTurn(p)
		default:
			o.pour(p)
		}
		o.wait(last, Task{Do: Cure}, r.Demold)
		if r.Coats > 0 {
			o.all(last, r.Coated)
		}
	}
	o.all(last, r.Cured)
	o.all(last, []Chore{r.Open})
	o.all(rubber.Whole, r.Ready)
	if m := afterCure[r.Family]; m > 0 {
		o.wait(rubber.Whole, Task{Do: Rest, Family: r.Family}, m)
	}
	if r.Casting > 0 {
		o.add(rubber.Whole, Task{Do: FirstCasting, Family: r.Family}, r.Casting, r.Trying)
	}
	return o.out
}

// add lays out a step after the last one.
func (o *ordering) add(half rubber.Half, task Task, minutes, hands float64) {
	o.out = append(o.out, Step{task, half, o.t, o.t + minutes, hands})
	o.t += minutes
}

// wait lays out a step in which nobody has anything to do.
func (o *ordering) wait(half rubber.Half, task Task, minutes float64) { o.add(half, task, minutes, 0) }

func (o *ordering) all(half rubber.Half, chores []Chore) {
	for _, c := range chores {
		hands := c.Hands
		if hands == 0 {
			hands = c.Minutes
		}
		o.add(half, c.Task, c.Minutes, max(0, hands))
	}
}

// turn turns the first half over and makes it ready for the second; its release is
// brushed on within the time of turning, and then dries.
func (o *ordering) turn(half rubber.Half) {
	o.add(half, Task{Do: TurnOver, Coats: o.r.Coats}, o.r.Turning, o.r.Turning)
	o.wait(half, Task{Do: BrushRelease, Family: o.r.Family}, ReleaseMinutes)
	o.all(half, o.r.Turned)
}

// pour is what one person stirs and pours, batch by batch.
func (o *ordering) pour(p Pour) {
	for b, g := range p.Batches {
		var which Task
		if len(p.Batches) > 1 {
			which = Task{Nth: b + 1, Batches: len(p.Batches)}
		}
		o.cup(p.Half, which, g, g.Mass/o.r.Rate)
	}
}

// cup is one cup, from its weighing on.
func (o *ordering) cup(half rubber.Half, which Task, g Batch, filling float64) {
	do := func(d Doing, minutes, hands float64) { which.Do = d; o.add(half, which, minutes, hands) }
	which.weigh(g)
	do(Mix, o.r.Stir, o.r.Stir)
	which.weigh(Batch{})
	if o.r.Degas > 0 {
		do(Degas, o.r.Degas, 0)
	}
	do(o.r.filling(), filling, filling)
}

// inTurn are the batches of a pour that several people stir and pour in turn, in the
// order of their beginning.
func (o *ordering) inTurn(p Pour) {
	var turns ordering
	for b, g := range p.Batches {
		clock := rubber.Clock{Stir: o.r.Stir, Degas: o.r.Degas, Rate: o.r.Rate}
		one := ordering{r: o.r, t: o.t + float64(b)*clock.Every(g.Mass, p.People)}
		one.cup(p.Half, Task{Nth: b + 1, Batches: len(p.Batches), Second: b%p.People > 0}, g, g.Mass/o.r.Rate)
		turns.out, turns.t = append(turns.out, one.out...), one.t
	}
	o.together(turns)
}

// together takes steps over in the order of their beginning.
func (o *ordering) together(of ordering) {
	slices.SortStableFunc(of.out, func(a, b Step) int { return cmp.Compare(a.Start, b.Start) })
	o.out, o.t = append(o.out, of.out...), of.t
}

// brush is what is brushed on, coat by coat, by people side by side. A coat begins
// where the one before did, so it waits no longer than until that is tacky there.
func (o *ordering) brush(p Pour) {
	for from := 0; from < len(p.Batches); {
		to := from
		for to < len(p.Batches) && p.Batches[to].Coat == p.Batches[from].Coat {
			to++
		}
		first := o.coat(p, p.Batches[from:to])
		if to < len(p.Batches) {
			if left := first + o.r.Tacky - o.t; left > 0 {
				o.wait(p.Half, Task{Do: Tack}, left)
			}
		}
		from = to
	}
}

// coat is one coat, and when the first of its cups is brushed on.
func (o *ordering) coat(p Pour, cups []Batch) (first float64) {
	people := max(p.People, 1)
	each := o.r.Brushing / float64(len(cups))
	for b := 0; b < len(cups); b += people {
		side := ordering{t: o.t}
		for k := b; k < min(b+people, len(cups)); k++ {
			which := Task{Nth: cups[k].Coat, Coats: o.r.Coats, Second: k > b}
			if len(cups) > 1 {
				which.Nth, which.Batches, which.Coat = k+1, len(cups), cups[k].Coat
			}
			one := ordering{r: o.r, t: o.t}
			one.cup(p.Half, which, cups[k], each)
			side.out, side.t = append(side.out, one.out...), one.t
		}
		o.together(side)
		if b == 0 {
			first = o.t
		}
	}
	return first
}

// Coating is all that is done for one coat, as one line tells it: its cups, what is
// weighed for each, and how many people brush side by side.
type Coating struct {
	Coat, Coats  int
	Cups, People int
	Degas        bool
	A, B         unit.Mass // 0 = not known
}

// CoatOf is the coat that some step begins, and how many steps on from it are of that
// coat; 0 where it begins none.
func CoatOf(steps []Step) (c Coating, n int) {
	coat := func(t Task) int {
		switch {
		case t.Coats == 0 || t.Do != Mix && t.Do != Degas && t.Do != Brush:
			return 0
		case t.Batches > 0:
			return t.Coat
		}
		return t.Nth
	}
	if len(steps) == 0 || steps[0].Task.Do != Mix || coat(steps[0].Task) == 0 {
		return c, 0
	}
	first := steps[0].Task
	c = Coating{Coat: coat(first), Coats: first.Coats, Cups: max(1, first.Batches), People: 1, A: first.A, B: first.B}
	for n < len(steps) && coat(steps[n].Task) == c.Coat && steps[n].Half == steps[0].Half {
		c.Degas = c.Degas || steps[n].Task.Do == Degas
		if steps[n].Task.Second {
			c.People = 2
		}
		n++
	}
	return c, n
}

// filling is how the rubber gets where it cures.
func (r Request) filling() Doing {
	switch {
	case r.Coats > 0:
		return Brush
	case r.Shell:
		return PourThrough
	}
	return PourIn
}

// weigh tells what is weighed for a batch.
func (t *Task) weigh(b Batch) { t.A, t.B = unit.Mass(b.A), unit.Mass(b.B) }
