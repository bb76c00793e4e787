package estimate

import (
	"context"
	"maps"
	"slices"
	"testing"

	"moldtally/estimate/money"
	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// lookedAt is a body with every pull looked at coarsely.
func lookedAt(t *testing.T, m *mesh.Mesh, job Job) (*known, looks) {
	t.Helper()
	ctx := context.Background()
	job.Source = Source{File: "body.stl", Units: "mm", UnitsFrom: "flag", Resized: 1}
	k, l := sharedKnown(t, m, job), looks{}
	for _, pull := range []demold.Mold{demold.TwoPart, demold.Block, demold.Cut} {
		if err := l.closely(ctx, k, pull, afar); err != nil {
			t.Fatal(err)
		}
	}
	return k, l
}

// Along the price of rubber and of labor the choice never comes back to a way that
// it left, ties within a tenth aside; along copies it changes only where a mold is
// added, or a way takes another rubber: a few copies are cast in a cheap one, many
// in one that lasts. What is weighed is a bust from 60 to 600 mm and a
// figure of 35 and 900, most of them those of the cases.
func TestChoiceAlongPrices(t *testing.T) {
	if testing.Short() {
		t.Skip("reckons every way at many prices")
	}
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		size float64
	}{{"bust", bust(), 60}, {"bust", bust(), 300}, {"bust", bust(), 400}, {"bust", bust(), 600}, {"figure", figure(), 35}, {"figure", figure(), 900}} {
		job := Job{Cast: "resin", Copies: 10, Resolution: coarse(c.m)}
		if own := longestOf(c.m); c.size != own {
			job.Longest, job.Resolution = &c.size, job.Resolution*(c.size/own)
		}
		k, l := lookedAt(t, c.m, job)
		all, err := k.reckon(context.Background(), l, nil)
		if err != nil {
			t.Fatal(err)
		}
		at := func(price, hour float64) *choice {
			j := *k.job
			p, err := money.FromFloat(price)
			if err != nil {
				t.Fatal(err)
			}
			h, err := money.FromFloat(hour)
			if err != nil {
				t.Fatal(err)
			}
			j.Rubber.PricePerKg, j.shop.Prices.LaborPerHour = &p, &h
			o := *k
			o.job = &j
			for _, m := range all {
				m.weight = o.weightOf(m)
			}
			return o.weigh(all)
		}
		along := func(what string, price func(x float64) (kg, hour float64)) {
			var left []Way
			var now *method
			for x := 0.0; x <= 1; x += 1.0 / 24 {
				kg, hour := price(x)
				c2 := at(kg, hour)
				if now == nil || now.way == c2.way {
					now = c2.method
					continue
				}
				if c2.Total > (1+tie)*now.Total || now.Total > (1+tie)*c2.Total {
					left = append(left, now.way) // no tie
				}
				if slices.Contains(left, c2.way) {
					t.Errorf("%s of %g mm, along %s: back to %+v at %g", c.name, c.size, what, c2.way, x)
				}
				now = c2.method
			}
		}
		along("the price of rubber", func(x float64) (float64, float64) { return 8 + 67*x, 40 })
		along("the price of labor", func(x float64) (float64, float64) { return 25, 100 * x })
		molds, now, rubbers := 0, Way{}, map[Way]string{}
		for _, n := range []int{1, 4, 5, 6, 12, 19, 20, 21, 30, 39, 40, 41, 60, 61, 120, 121, 250, 500} {
			k.job.Copies = n
			all, err := k.reckon(context.Background(), l, nil)
			if err != nil {
				t.Fatal(err)
			}
			w := k.weigh(all)
			most, poured := 0, map[Way]string{}
			for _, m := range w.all {
				if len(m.fails) == 0 {
					most += m.Molds
					poured[m.way] = m.chosen.Name
				}
			}
			if n > 1 && w.way != now && most == molds && maps.Equal(poured, rubbers) {
				t.Errorf("%s of %g mm, at %d copies: %+v instead of %+v, and no mold was added", c.name, c.size, n, w.way, now)
			}
			molds, now, rubbers = most, w.way, poured
		}
	}
}

func longestOf(m *mesh.Mesh) float64 {
	lo, hi := m.Bounds()
	d := hi.Sub(lo)
	return max(d.X, d.Y, d.Z)
}
