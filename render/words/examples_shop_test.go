package words

import (
	"moldtally/estimate"
	"moldtally/estimate/conf"
)

// shopExampleRemarks hold every mistake of a shop file.
var shopExampleRemarks = func() []any {
	all := []any{conf.Unread{}, conf.Unread{Text: "expected '=' but got '+'"}, conf.Twice{First: 3}, conf.Twice{Table: "prices", First: 3}}
	for w := estimate.BeforeTables; w <= estimate.NoPartGravities; w++ {
		f := estimate.ShopFault{Wrong: w, Given: "platnum", Known: []string{"latex", "platinum", "tin"}}
		switch w {
		case estimate.NoSuchTable, estimate.NoSuchBoard:
			f.Given = "gold"
		case estimate.Unnamed:
			f.Given = "rubber"
		case estimate.SameName:
			f.First = 12
		case estimate.NotBetween:
			f.Given, f.Low, f.High = 120.0, 0, 99
		case estimate.KitSize, estimate.KitPrice, estimate.KitMore:
			f.Kit = 2
		}
		all = append(all, f)
	}
	return all
}()
