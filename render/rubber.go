package render

import (
	"cmp"
	"math"
	"reflect"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func (w *wording) rubber() Section {
	sec := Section{Key: "rubber", Title: "Rubber"}
	r := w.plan.Rubber
	if r == nil {
		return sec
	}
	name := rubberName(r)
	sec.add(Row{Label: "Name", Value: name, Note: r.What})
	gravity := w.specificVolume(r.SG)
	if len(r.Additives) > 0 {
		gravity = figure.Join("; ", gravity, "with what is stirred in; "+figure.Trimmed(r.BareSG, 3)+" without")
	}
	sec.add(Row{Label: "Specific gravity", Value: figure.Trimmed(r.SG, 3), Note: gravity})
	sec.add(
		w.row("Volume", figure.Volume(r.VolumeLow, r.Volume, r.VolumeHigh), w.VolumeWithin(r.VolumeLow, r.Volume, r.VolumeHigh, w.holds())))
	sec.add(w.masses(r)...)
	sec.add(w.parts(r)...)
	if r.RatioError != nil && math.Abs(*r.RatioError) >= 0.0005 {
		sec.add(Row{Label: "Ratio off by", Value: figure.Fixed(100**r.RatioError, 1), Unit: "%", Note: "after rounding to the scale"})
	}
	if r.PotLife != nil {
		within := "pour within it"
		if w.brushed() {
			within = "from the first stir of a cup; brush that out within it"
		}
		sec.add(Row{Label: "Pot life", Value: figure.Duration(*r.PotLife), Note: figure.Join("; ", w.potRange(r), within)})
	}
	if r.Demold != nil {
		sec.add(Row{Label: "Open it after", Value: figure.Duration(*r.Demold)})
	}
	if v := r.Vacuum; v != nil {
		sec.add(w.vacuum(v))
	}
	if r.Elongation != nil {
		sec.add(Row{Label: "Stretches to", Value: figure.Trimmed(*r.Elongation, 0), Unit: "%", Note: "at break, when new"})
	}
	if r.Needed != nil && *r.Needed > leastNeed {
		sec.add(Row{Label: "Stripping asks for", Value: figure.Fixed(100**r.Needed, 0), Unit: "%", Note: "strain at the worst place"})
	}
	if r.HeatLimit != nil {
		sec.add(Row{Label: "Stands heat to", Value: figure.Temperature(*r.HeatLimit, w.System)})
	}
	if r.Shrinkage != nil {
		sec.add(Row{Label: "Shrinks", Value: figure.Trimmed(*r.Shrinkage, 2), Unit: "%", Note: "in length, as it cures"})
	}
	currency := ""
	if w.plan.Cost != nil {
		currency = w.plan.Cost.Currency
	}
	if r.Cost != nil {
		sec.add(Row{Label: "Costs", Value: figure.Money(r.Cost.Float(), currency)})
	}
	sec.add(lot(r)...)
	if r.Have != nil {
		row := w.row("On the shelf", figure.Mass(*r.Have, *r.Have, *r.Have), "")
		if r.HaveShort != nil && *r.HaveShort > 0 {
			row.Note, row.Tone = w.Inline(figure.Mass(*r.HaveShort, *r.HaveShort, *r.HaveShort))+" short", Care
		} else if r.HaveShort != nil {
			row.Note = "it does"
		}
		sec.add(row)
	}
	sec.Tables = append(sec.Tables, w.batches(r)...)
	sec.Tables = append(sec.Tables, w.ways(r)...)
	sec.Tables = append(sec.Tables, w.kits(r, currency)...)
	for _, s := range r.Reasons {
		sec.List = append(sec.List, figure.Sentence(w.say(s)))
	}
	return sec
}

// lot is what is known of the rubber on the shelf; none where nothing is.
func lot(r *estimate.Rubber) []Row {
	var said []string
	for _, x := range [][2]string{{"opened ", r.Opened}, {"use by ", r.UseBy}} {
		if x[1] != "" {
			said = append(said, x[0]+x[1])
		}
	}
	if len(said) == 0 && r.Lot == "" {
		return nil
	}
	return []Row{{Label: "Lot", Value: cmp.Or(r.Lot, "not said"), Note: strings.Join(said, ", ")}}
}

// kits are the packages to buy; none where nothing is bought in kits.
func (w *wording) kits(r *estimate.Rubber, currency string) []Table {
	if r.Kits == nil || len(*r.Kits) == 0 {
		return nil
	}
	t := Table{Caption: "To buy", Columns: []Column{{Title: "kits", Right: true}, {Title: "of", Right: true}, {Title: "cost", Right: true}}}
	for _, k := range *r.Kits {
		t.Rows = append(t.Rows, []string{strconv.Itoa(k.Count), w.Fine(figure.Mass(k.Size, k.Size, k.Size)), figure.Money(k.Cost.Float(), currency)})
	}
	if r.LeftOver != nil && *r.LeftOver > 0 {
		t.Note = w.Inline(figure.About(figure.Mass, *r.LeftOver, withinMass)) + " left over"
	}
	return []Table{t}
}

// holds is what the container holds, mm³, of which its rubber can be no more.
func (w *wording) holds() float64 {
	c := w.plan.Container
	if c == nil || c.Kind == boxfit.Mother || c.Capacity <= 0 {
		return math.Inf(1)
	}
	return c.Capacity
}

// masses are what the mold weighs and what is mixed for it; a job that is refused
// has none.
func (w *wording) masses(r *estimate.Rubber) []Row {
	if r.Mass == nil || r.MassToMix == nil {
		return nil
	}
	note := ""
	if x := r.ExtraMass; x != nil && *x > 0 {
		note = "with " + w.Inline(figure.About(figure.Mass, *x, withinColumns)) + " extra: " + w.say(r.ExtraReason)
	}
	return []Row{
		w.row("Mass", figure.Mass(r.VolumeLow*r.SG/1000, *r.Mass, r.VolumeHigh*r.SG/1000), "of the cured mold"),
		w.row("Mix at least", figure.Mass(*r.MassToMix, *r.MassToMix, *r.MassToMix), note),
	}
}

// potRange words how far the pot life may lie from the rule's, where the
// workshop is not at the data sheet's temperature.
func (w *wording) potRange(r *estimate.Rubber) string {
	if r.PotLifeLow == nil || r.PotLifeHigh == nil || *r.PotLifeHigh-*r.PotLifeLow < 0.5 {
		return "at the workshop's temperature"
	}
	return "at the workshop's temperature; " + figure.Duration(*r.PotLifeLow) + " to " + figure.Duration(*r.PotLifeHigh) + ", as rubbers differ"
}

// vacuum words the degassing in one row.
func (w *wording) vacuum(v *estimate.Vacuum) Row {
	r := Row{Label: "Vacuum", Value: figure.Fixed(v.Wanted, 1), Unit: "inHg", Note: "or more on the gauge"}
	if v.Altitude != 0 {
		r.Note = "or more on a gauge at " + w.Inline(figure.Altitude(v.Altitude)) + ", where it can show " + figure.Fixed(v.Most, 1) + " at most"
	}
	r.Note += "; " + figure.Duration(v.Minutes) + " a batch, in a cup " + figure.Trimmed(v.CupRoom, 1) + " times its size"
	if v.Gauge != nil && v.Bubble != nil {
		r.Note += "; your " + figure.Trimmed(*v.Gauge, 1) + " makes a bubble " + figure.Fixed(*v.Bubble, 0) + " times as large"
	}
	if v.Lid != nil {
		r.Note += "; the lid bears " + w.Force(figure.LargeForce(*v.Lid), *v.Lid)
	}
	return r
}

// ways lists what would make the rubber on the shelf do.
func (w *wording) ways(r *estimate.Rubber) []Table {
	if len(r.HaveWays) == 0 {
		return nil
	}
	t := Table{Caption: "What would make it do", Columns: []Column{{Title: "way", Wrap: true}, {Title: "saves", Right: true}, {Title: "enough"}, {Title: "how", Wrap: true}}}
	for _, x := range r.HaveWays {
		saves, does := "-", "no"
		if x.Saves != nil {
			saves = w.Inline(figure.About(figure.Mass, *x.Saves, withinSaving))
		} else {
			does = "see"
		}
		if x.Does {
			does = "yes"
		}
		t.Rows = append(t.Rows, []string{w.say(x.What), saves, does, figure.Sentence(w.say(x.How))})
	}
	return []Table{t}
}

// specificVolume is what data sheets in inches and pounds print instead of a
// specific gravity.
func (w *wording) specificVolume(sg float64) string {
	if w.System == unit.Metric || sg <= 0 {
		return ""
	}
	const in3PerLbAtOne = 453.59237 / 16.387064 // exact by definition of pound and inch
	return figure.Fixed(in3PerLbAtOne/sg, 1) + figure.NBSP + "in³/lb"
}

// batches lists the cups, where there is more than one.
func (w *wording) batches(r *estimate.Rubber) []Table {
	cups := 0
	for _, p := range r.Pours {
		cups += len(p.Batches)
	}
	if cups < 2 && len(r.Pours) < 2 {
		if cups == 1 {
			b := r.Pours[0].Batches[0]
			if b.Cup > 0 {
				return []Table{{Columns: []Column{{}}, Rows: [][]string{{"Stir it in a cup of at least " + w.cup(b.Cup) + "."}}}}
			}
		}
		return nil
	}
	t := Table{Caption: "Cups to mix, in order", Columns: []Column{{Title: "pour"}, {Title: "cup", Right: true}, {Title: "part A", Right: true}, {Title: "part B", Right: true}, {Title: "cup holds at least", Right: true}}}
	both := func(g *float64) string {
		if g == nil {
			return "-"
		}
		return w.Fine(figure.Weighed(*g))
	}
	for i, a := range r.Additives {
		c := t.Columns
		t.Columns = append(append(append([]Column{}, c[:4+i]...), Column{Title: string(a.Kind), Right: true}), c[4+i:]...)
	}
	for _, p := range r.Pours {
		for i := 0; i < len(p.Batches); {
			b, to := p.Batches[i], alike(p.Batches, i)
			row := []string{pourOf(p.Half, b.Coat, p.Batches[to-1].Coat), cupsOf(p.Batches[i:to], i), both(b.PartA), both(b.PartB)}
			for k := range r.Additives {
				var g *float64
				if k < len(b.Additives) {
					g = &b.Additives[k]
				}
				row = append(row, both(g))
			}
			t.Rows = append(t.Rows, append(row, w.cup(b.Cup)))
			i = to
		}
	}
	return []Table{t}
}

// alike is where the cups end that take what cup i does.
func alike(cups []estimate.Batch, i int) int {
	to := i + 1
	for ; to < len(cups); to++ {
		next := cups[to]
		next.Coat = cups[i].Coat
		if !reflect.DeepEqual(next, cups[i]) {
			break
		}
	}
	return to
}

// pourOf names a pour, or the coats of one from a first to a last; 0 = it has none.
func pourOf(half rubber.Half, first, last int) string {
	s := string(half)
	if half != rubber.Whole {
		s += " half"
	}
	if first == 0 {
		return s
	}
	coats := "coat " + strconv.Itoa(first)
	if last > first {
		coats = "coats " + strconv.Itoa(first) + " to " + strconv.Itoa(last)
	}
	if half == rubber.Whole {
		return coats
	}
	return s + ", " + coats
}

// cupsOf numbers cups that are alike, of which some stand before them in their pour;
// those of coats are counted.
func cupsOf(cups []estimate.Batch, before int) string {
	switch n := len(cups); {
	case cups[0].Coat > 0:
		return strconv.Itoa(n/(cups[n-1].Coat-cups[0].Coat+1)) + " a coat, each"
	case n > 1:
		return strconv.Itoa(before+1) + " to " + strconv.Itoa(before+n) + ", each"
	}
	return strconv.Itoa(before + 1)
}

// cup words the size of a mixing cup, rounded up so that it holds.
func (w *wording) cup(ml float64) string {
	step := figure.Significant(ml, 2)
	up := figure.Stepped(math.Ceil(ml/step-1e-9)*step, step) + figure.NBSP + "ml"
	if ml > 9999 {
		up = figure.Stepped(math.Ceil(ml/step-1e-9)*step/1000, step/1000) + figure.NBSP + "litres"
	}
	const mlPerFloz = 29.5735295625 // US fluid ounce, exact
	oz := ml / mlPerFloz
	step = figure.Significant(oz, 2)
	us := figure.Stepped(math.Ceil(oz/step-1e-9)*step, step) + figure.NBSP + "fl" + figure.NBSP + "oz"
	switch w.System {
	case unit.Metric:
		return up
	case unit.US:
		return us
	}
	return up + " (" + us + ")"
}

// mixing is how it is done.
func (w *wording) mixing() Section {
	sec := Section{Key: "mixing", Title: "How to mix it, and when it has cured"}
	if r := w.plan.Rubber; r != nil && !w.plan.Refused() {
		for _, s := range r.Practice {
			sec.List = append(sec.List, figure.Sentence(w.say(s)))
		}
	}
	return sec
}
