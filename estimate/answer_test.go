package estimate

import (
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh/finding"
)

// The answer goes by the stops: none is a yes, some wait for an answer, and one of
// those that refuse a job is a no, which gives the refusals alone as its reasons.
func TestDecided(t *testing.T) {
	stop := func(c finding.Code, facts any) finding.Finding {
		return finding.Finding{Code: c, Severity: finding.Stop, Facts: facts}
	}
	caution := finding.Finding{Code: CodeNearHot, Severity: finding.Caution}
	floats := stop(boxfit.CodeFloat, boxfit.Floats{})
	small := stop(boxfit.CodeSmall, boxfit.TooSmall{})
	thick := stop(CodeTooHot, Hot{Low: 120, High: 210, Limit: 190}) // in thick casts alone
	zinc := stop(CodeTooHot, Hot{Low: 400, High: 450, Limit: 280})
	for _, c := range []struct {
		name     string
		warnings finding.List
		want     Course
		because  int
		spared   []finding.Code
	}{
		{"nothing", nil, CourseGo, 0, nil},
		{"a caution", finding.List{caution}, CourseGo, 0, nil},
		{"it floats", finding.List{floats, caution}, CourseOpen, 1, nil},
		{"too hot where it is thick", finding.List{thick, floats}, CourseOpen, 2, nil},
		{"zinc that floats", finding.List{zinc, floats}, CourseNo, 1, nil},
		{"zinc in too small a box", finding.List{zinc, small, floats}, CourseNo, 2, nil},
		{"a kind of mold that was asked for fails", finding.List{stop(CodeUnfit, Unfit{})}, CourseOpen, 1, nil},
		{"every kind of mold fails", finding.List{stop(CodeNoMethod, Unfit{})}, CourseNo, 1, nil},
		{"too small a box for the kind of mold that was asked for", finding.List{small, floats}, CourseOpen, 2, []finding.Code{boxfit.CodeSmall}},
		{"no cure", finding.List{stop(rubber.CodeInhibited, rubber.Meets{})}, CourseNo, 1, nil},
		{"a rest that nobody named", finding.List{stop(rubber.CodeWhich, rubber.WhichLeftover{})}, CourseOpen, 1, nil},
		{"a rest that nobody knows", finding.List{stop(rubber.CodeUnknown, rubber.UnknownLeftover{})}, CourseNo, 1, nil},
		{"food", finding.List{stop(CodeFood, Eaten{})}, CourseNo, 1, nil},
		{"food in a declared rubber", finding.List{{Code: CodeFood, Severity: finding.Note, Facts: Eaten{}}}, CourseGo, 0, nil},
	} {
		d := decided(c.warnings, c.spared)
		if d.Answer != c.want || len(d.Because) != c.because || (d.Change == nil) != (c.want == CourseGo) {
			t.Errorf("%s: %s because of %d, want %s because of %d", c.name, d.Answer, len(d.Because), c.want, c.because)
		}
	}
}

// Of a job that is refused every mass that would be weighed is taken out; its methods
// stay as they compare, and none is chosen.
func TestWithheld(t *testing.T) {
	g := 2733.0
	p := &Plan{Rubber: &Rubber{Mass: &g, MassToMix: &g, PartA: &g, Pours: []Pour{{}}}, Options: &[]boxfit.Option{{Volume: 2e6, Mass: &g}},
		Methods:  &[]Method{{RubberVolume: 2e6, RubberMass: &g, Cost: 90, Chosen: true}},
		Warnings: finding.List{{Code: CodeNoMethod, Severity: finding.Stop, Facts: Unfit{}}}}
	p.answer(nil)
	m := (*p.Methods)[0]
	if !p.Refused() || m.Chosen || m.RubberMass == nil || m.Cost != 90 || m.RubberVolume != 2e6 {
		t.Errorf("refused %v, its method %+v", p.Refused(), m)
	}
	if r := p.Rubber; r.Mass != nil || r.MassToMix != nil || r.PartA != nil || len(r.Pours) != 0 || (*p.Options)[0].Mass != nil || (*p.Options)[0].Volume != 2e6 {
		t.Errorf("rubber %+v, options %+v", r, *p.Options)
	}
}
