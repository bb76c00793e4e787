package estimate

import (
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh/finding"
)

// Course is whether a job is done as it was asked for.
type Course string

// The courses.
const (
	CourseGo   Course = "go"
	CourseOpen Course = "open" // a stop waits for an answer of the user's
	CourseNo   Course = "no"   // nothing that may be planned would serve
)

// Decision is whether to do the job as asked, and what would make it a yes.
type Decision struct {
	Answer  Course   `json:"answer"`
	Because []Reason `json:"because"`
	Change  *Change  `json:"change"` // nil = it is a yes
}

// FirstLine is a decision as the first line of every form has it.
type FirstLine struct {
	Decision
	Cautions int  // what there is to look at twice
	Partly   bool // only a part of the job was looked at
	Short    bool // the stops stand right below: they are not told twice
}

// Reason is one thing that keeps a job from being a yes: a stop of the plan.
type Reason struct {
	Code    finding.Code `json:"code"`
	Summary Summary      `json:"summary"`
}

// Summary is what is so, as the finding's words have it; Change is what of the
// findings' facts would have to be otherwise.
type (
	Summary struct{ Of finding.Finding }
	Change  struct{ Of []finding.Finding }
)

// refusals are the stops with which a job is refused, each where its test holds
// for its facts (nil = always). What the user fixed is no longer open to the
// planner: a rubber asked for by name that does not stand the casting is refused
// as much as a casting that no rubber stands. A kind of mold that was asked for is
// reckoned as given, and nothing that fails it alone stands here.
var refusals = map[finding.Code]func(finding.Finding) bool{
	CodeTooHot:           alwaysTooHot,
	CodeFood:             nil,
	boxfit.CodeSmall:     nil,
	rubber.CodeInhibited: nil,
	rubber.CodeUnknown:   nil,
	CodeNoMethod:         nil,
	CodeAlone:            nil,
	rubber.CodeHarms:     nil,
	rubber.CodeUntouched: nil,
}

// alwaysTooHot reports whether a casting is hotter than its rubber stands however
// it is poured. One that is so only in thick and quick casts waits for the user to
// say how it will be cast.
func alwaysTooHot(f finding.Finding) bool {
	h := f.Facts.(Hot)
	return h.Low > h.Limit
}

// refused reports whether a finding refuses a job.
func refused(f finding.Finding) bool {
	test, ok := refusals[f.Code]
	return ok && f.Severity == finding.Stop && (test == nil || test(f))
}

// decided is the answer to a job with these warnings: each stop is a reason, and
// where one refuses it those that do alone. spared are refusals of the kind of mold
// that was asked for, which wait for the user to ask for another.
func decided(warnings finding.List, spared []finding.Code) *Decision {
	d := &Decision{Answer: CourseGo, Because: []Reason{}}
	stops := slices.DeleteFunc(slices.Clone(warnings), func(f finding.Finding) bool { return f.Severity != finding.Stop })
	if len(stops) == 0 {
		return d
	}
	d.Answer = CourseOpen
	if no := slices.DeleteFunc(slices.Clone(stops), func(f finding.Finding) bool { return !refused(f) || slices.Contains(spared, f.Code) }); len(no) > 0 {
		d.Answer, stops = CourseNo, no
	}
	for _, f := range stops {
		d.Because = append(d.Because, Reason{f.Code, Summary{f}})
	}
	d.Change = &Change{stops}
	return d
}

// Refused reports whether the job is not to be done; it may be asked of no plan.
func (p *Plan) Refused() bool { return p != nil && p.Job != nil && p.Job.Answer == CourseNo }

// answer settles whether the job is done as asked. Of one that is refused nothing
// is left that could be weighed, bought or charged for.
func (p *Plan) answer(spared []finding.Code) {
	p.Job = decided(p.Warnings, spared)
	if p.Refused() {
		p.withhold()
		p.Warnings = slices.DeleteFunc(p.Warnings, func(f finding.Finding) bool { return ofMixing[f.Code] })
	}
}

// ofMixing are the findings about what is weighed, stirred and bought, of which a
// job that is refused has nothing.
var ofMixing = map[finding.Code]bool{
	rubber.CodeRatio: true, rubber.CodeScale: true, rubber.CodeBatches: true, rubber.CodeWarmsItself: true,
	CodeShort: true, CodeVacuum: true,
}

// withhold takes every mass, part, kit and amount of money out of a plan. Volumes,
// the container, how it comes out and the list of methods stay: they are what the
// change goes by. A method's mass and cost compare ways, nothing is weighed by them.
func (p *Plan) withhold() {
	if r := p.Rubber; r != nil {
		r.Mass, r.MassToMix, r.ExtraMass, r.PartA, r.PartB, r.PartAml, r.PartBml, r.RatioError = nil, nil, nil, nil, nil, nil, nil, nil
		r.Pours, r.Kits, r.Cost, r.Additives = []Pour{}, nil, nil, []Additive{}
		r.HaveShort, r.LeftOver, r.HaveWays = nil, nil, []Saving{}
	}
	if c := p.Casting; c != nil {
		c.Mass, c.MassToMix, c.PartA, c.PartB, c.Powder, c.Water, c.Face = nil, nil, nil, nil, nil, nil, nil
	}
	if c := p.Cost; c != nil {
		*c = Cost{Currency: c.Currency, Lines: []CostLine{}, Without: []Unpriced{}, Breaks: []Break{}, Pays: []Pays{}, unpriced: c.unpriced}
	}
	p.Schedule = nil // it says what to weigh
	if p.Methods != nil {
		for i := range *p.Methods {
			(*p.Methods)[i].Chosen = false
		}
	}
	if p.Options != nil {
		options := slices.Clone(*p.Options)
		for i := range options {
			options[i].Mass, options[i].Cost = nil, nil
		}
		p.Options = &options
		if p.Container != nil {
			p.Container.Options = options
		}
	}
}
