package material

import (
	_ "embed"
	"fmt"
	"slices"
	"sync"

	"moldtally/estimate/conf"
)

// AdditiveKind is what an additive does to rubber.
type AdditiveKind string

// The kinds of additive, in the order in which they are listed and stirred in.
const (
	Pigment   AdditiveKind = "pigment"
	Thinner   AdditiveKind = "thinner"
	Thickener AdditiveKind = "thickener"
)

// AdditiveKinds are all of them.
var AdditiveKinds = []AdditiveKind{Pigment, Thinner, Thickener}

// Additive is something that is stirred into rubber. Shares are per cent of the
// finished mix by weight.
type Additive struct {
	Name     string       `toml:"name" json:"name"`
	Kind     AdditiveKind `toml:"kind" json:"kind"`
	What     string       `toml:"what" json:"what"`
	Families []Family     `toml:"families" json:"families"` // it is made for
	Share    Figure       `toml:"share_pct" json:"share_pct"`
	Most     Figure       `toml:"most_pct" json:"most_pct"` // beyond which the rubber suffers
	SG       Figure       `toml:"sg" json:"sg"`
	Hardness Figure       `toml:"hardness" json:"hardness_loss_per_share"` // of hardness and tear; 1 = in proportion
	Beyond   string       `toml:"beyond" json:"beyond"`                    // what too much does
	Mind     string       `toml:"mind" json:"mind"`                        // what to see to
	Dust     bool         `toml:"dust" json:"dust"`                        // it is a powder that floats
	Source   string       `toml:"source" json:"source"`
}

//go:embed additives.toml
var additivesTOML string

var loadAdditives = sync.OnceValue(func() []Additive {
	var t struct {
		Additive []Additive `toml:"additive"`
	}
	// Part of the program: the package's tests find a table that does not parse.
	if err := conf.Decode(additivesTOML, &t); err != nil {
		panic(fmt.Sprintf("material: %v", err))
	}
	return t.Additive
})

// Additives lists what is stirred into rubber.
func Additives() []Additive { return slices.Clone(loadAdditives()) }

// AdditiveFor returns the additive of a kind that is made for a chemistry. Where none is known, as for a rubber of unknown
// chemistry, it returns the first of the kind, whose figures then stand for
// lack of better, and false.
func AdditiveFor(kind AdditiveKind, f Family) (Additive, bool) {
	list := loadAdditives()
	for _, a := range list {
		if a.Kind == kind && slices.Contains(a.Families, f) {
			return a, true
		}
	}
	i := slices.IndexFunc(list, func(a Additive) bool { return a.Kind == kind })
	if i < 0 {
		return Additive{}, false
	}
	return list[i], false
}
