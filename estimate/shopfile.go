package estimate

import (
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"moldtally/boxfit"
	"moldtally/estimate/conf"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// A spec is what one key may hold.
type spec struct {
	kind      valueKind
	low, high float64
	words     []string // for text: what it may be; nil = anything
}

// valueKind is a kind of value of the shop file.
type valueKind int

const (
	textValue valueKind = iota
	numberValue
	boolValue
	ratioValue
	priceValue
	kitsValue
	nameValue
	dateValue
	sheetValue
)

func num(low, high float64) spec { return spec{kind: numberValue, low: low, high: high} }
func word(w ...string) spec      { return spec{words: w} }

// gravity is that of a rubber or a part of it, g/cm³.
var gravity = num(rubber.LeastSG, rubber.MostSG)

// shopKeys is every key of the shop file; [[many]] tables are marked in shopMany.
var shopKeys = map[string]map[string]spec{
	"defaults": {
		"temperature_C": num(-20, 60), "weigh_to_g": num(1e-4, 1e5), "extra_pct": num(0, 200), "step_mm": num(0, 100), "kerf_mm": num(0, 20),
		"board": word(), "tube": word("stock", "exact"), "rubber": word(), "system": word("metric", "us", "both"),
	},
	"workshop": {
		"stir_min": num(0, 120), "pour_g_per_min": num(1, 1e6), "cup_ml": num(1, 1e7), "vacuum_min": num(0, 240),
		"vacuum_bore_mm": num(1, 1e4), "vacuum_height_mm": num(1, 1e4), "pot_bore_mm": num(1, 1e4), "pot_height_mm": num(1, 1e4),
		"altitude_m": num(-500, 6000), "vacuum_gauge_inHg": num(1, 31),
	},
	"additives": {
		"pigment_pct": num(0, 40), "pigment_sg": num(0.3, 20), "pigment_price_per_kg": {kind: priceValue},
		"thinner_pct": num(0, 40), "thinner_sg": num(0.3, 20), "thinner_price_per_kg": {kind: priceValue},
		"thickener_pct": num(0, 40), "thickener_sg": num(0.02, 20), "thickener_price_per_kg": {kind: priceValue},
	},
	"prices": {
		"currency": word(), "labor_per_hour": {kind: priceValue}, "minimum": {kind: priceValue}, "sundries": {kind: priceValue}, "shell_per_kg": {kind: priceValue}, "pattern_value": {kind: priceValue},
		"hours_prepare": num(0, 1e4), "hours_box": num(0, 1e4), "hours_pour": num(0, 1e4), "hours_open": num(0, 1e4), "hours_per_casting": num(0, 1e4), "hours_finishing": num(0, 1e4), "finishing": {kind: priceValue},
		"rubber_per_kg": {kind: priceValue}, "board_per_m2": {kind: priceValue}, "tube_per_m": {kind: priceValue}, "example": {kind: boolValue}, "markup_pct": num(0, 1e4),
		"overhead_pct": num(0, 1000), "margin_pct": num(0, 99), "tax_pct": num(0, 100), "deposit_pct": num(0, 100), "valid_days": num(1, 3650), "charge": word("kits", "used"),
	},
	"letterhead": {"name": word(), "address": word(), "phone": word(), "mail": word(), "tax_number": word()},
	"rubber": {
		"name": {kind: nameValue}, "family": word("platinum", "tin", "polyurethane", "latex", string(material.Unknown)), "what": word(),
		"shore_a": num(0, 95), "shore_00": num(0, 90), "sg": gravity, "in3_per_lb": num(rubber.LeastIn3PerLb, rubber.MostIn3PerLb), "cm3_per_kg": num(1000/rubber.MostSG, 1111.1),
		"mix": {kind: ratioValue}, "mix_by": word("weight", "volume"), "sg_a": gravity, "sg_b": gravity,
		"pot_life_min": num(0.5, 1e4), "demold_min": num(1, 1e5), "temperature_C": num(0, 60), "viscosity_Pa_s": num(1e-3, 1e5),
		"elongation_pct": num(10, 3000), "tear_N_per_mm": num(0.1, 500), "heat_limit_C": num(30, 400), "shrinkage_pct": num(-5, 20), "library_life_years": num(0, 100),
		"clear": {kind: boolValue}, "brush_only": {kind: boolValue}, "food": {kind: boolValue}, "kits": {kind: kitsValue},
		"left_g": num(0, 1e9), "lot": word(), "opened": {kind: dateValue}, "use_by": {kind: dateValue},
	},
	"casting": {"name": {kind: nameValue}, "price_per_kg": {kind: priceValue}, "sg": num(0.005, 25), "mix": {kind: ratioValue}, "pulls": num(1, 1e6), "demold_min": num(0, 1e5), "powder_ratio": num(0.05, 20), "face_mm": num(0.1, 50)},
	"board":   {"name": {kind: nameValue}, "price_per_m2": {kind: priceValue}, "sheet_mm": {kind: sheetValue, low: 100, high: 10000}},
	"tube":    {"name": {kind: nameValue}, "bore_mm": num(1, 1e4), "wall_mm": num(0.1, 100), "price_per_m": {kind: priceValue}},
}

var shopMany = []string{"rubber", "casting", "board", "tube"}

// ParseShop reads a shop file. It returns every mistake it finds, by line; the
// shop holds what could be used. An error of r is returned as a mistake of
// line 0.
func ParseShop(r io.Reader) (*Shop, []ShopError) {
	data, err := io.ReadAll(io.LimitReader(r, 4<<20))
	if err != nil {
		return &Shop{}, []ShopError{{What: finding.Remark{Facts: conf.Unread{Text: err.Error()}}}}
	}
	tables, bad := conf.Read(string(data))
	s := &Shop{}
	known := slices.Sorted(maps.Keys(shopKeys))
	names := map[string]int{}
	for i := range tables {
		t := &tables[i]
		p := &reader{t: t, keys: shopKeys[t.Name]}
		switch {
		case p.keys != nil:
			p.values()
			p.named(names)
			p.take(s)
		case t.Name == "":
			for _, e := range t.Entries {
				p.wrong(e.Line, e.Key, ShopFault{Wrong: BeforeTables})
			}
		default:
			bad = append(bad, ShopError{Line: t.Line, Key: t.Name, What: finding.Remark{Facts: ShopFault{Wrong: NoSuchTable, Given: t.Name, Known: known}}})
		}
		bad = append(bad, p.bad...)
	}
	// What one table says of another is looked at last.
	for i := range tables {
		if t := &tables[i]; t.Name == "defaults" {
			p := &reader{t: t}
			p.known(s)
			bad = append(bad, p.bad...)
		}
	}
	slices.SortStableFunc(bad, func(a, b ShopError) int { return a.Line - b.Line })
	return s, bad
}

// named sees to it that what is listed has a name, and one of its own; names has
// those of the tables before, with their lines.
func (p *reader) named(names map[string]int) {
	if !slices.Contains(shopMany, p.t.Name) {
		return
	}
	name := p.s("name")
	if name == "" {
		if p.t.Get("name") == nil {
			p.wrong(p.t.Line, "name", ShopFault{Wrong: Unnamed, Given: p.t.Name})
		}
		return
	}
	id, line := p.t.Name+"/"+strings.ToLower(name), p.t.Get("name").Line
	if first, twice := names[id]; twice {
		p.wrong(line, "name", ShopFault{Wrong: SameName, Given: name, First: first})
	} else {
		names[id] = line
	}
}

// take puts what a table says into the shop.
func (p *reader) take(s *Shop) {
	switch p.t.Name {
	case "defaults":
		s.Defaults = ShopDefaults{p.f("temperature_C"), p.f("weigh_to_g"), p.f("extra_pct"), p.f("step_mm"), p.f("kerf_mm"), p.s("board"), p.s("tube"), p.s("rubber"), p.s("system")}
	case "workshop":
		s.Workshop = Workshop{p.f("stir_min"), p.f("pour_g_per_min"), p.f("cup_ml"), p.f("vacuum_min"), p.f("vacuum_bore_mm"), p.f("vacuum_height_mm"), p.f("pot_bore_mm"), p.f("pot_height_mm"), p.f("altitude_m"), p.f("vacuum_gauge_inHg")}
	case "additives":
		s.Additives = ShopAdditives{}
		for _, k := range material.AdditiveKinds {
			s.Additives[k] = ShopAdditive{p.f(string(k) + "_pct"), p.f(string(k) + "_sg"), p.m(string(k) + "_price_per_kg")}
		}
	case "letterhead":
		s.Letterhead = p.letterhead()
	case "prices":
		if e := p.t.Get("markup_pct"); e != nil && p.t.Get("margin_pct") != nil {
			p.wrong(e.Line, "markup_pct", ShopFault{Wrong: MarkupAndMargin})
		}
		example, _ := p.got["example"].(bool)
		s.Prices = Prices{Currency: p.s("currency"), LaborPerHour: p.m("labor_per_hour"), Minimum: p.m("minimum"), Sundries: p.m("sundries"), ShellPerKg: p.m("shell_per_kg"), PatternValue: p.m("pattern_value"),
			HoursPrepare: p.f("hours_prepare"), HoursBox: p.f("hours_box"), HoursPour: p.f("hours_pour"), HoursOpen: p.f("hours_open"), HoursPerCasting: p.f("hours_per_casting"), HoursFinishing: p.f("hours_finishing"), Finishing: p.m("finishing"),
			RubberPerKg: p.m("rubber_per_kg"), BoardPerM2: p.m("board_per_m2"), TubePerM: p.m("tube_per_m"), Example: example, MarkupPct: p.f("markup_pct"),
			OverheadPct: p.f("overhead_pct"), MarginPct: p.f("margin_pct"), TaxPct: p.f("tax_pct"), DepositPct: p.f("deposit_pct"), ValidDays: p.f("valid_days"), ChargeUsed: p.s("charge") == "used"}
	case "rubber":
		if r, ok := p.rubber(); ok {
			s.Rubbers = append(s.Rubbers, r)
		}
	case "casting":
		if c, ok := p.casting(); ok {
			s.Castings = append(s.Castings, c)
		}
	case "board":
		if n := p.s("name"); n != "" {
			p.board("name", n)
		}
		s.Boards = append(s.Boards, ShopBoard{p.s("name"), p.m("price_per_m2"), p.ratio("sheet_mm")})
	case "tube":
		if b := p.f("bore_mm"); b != nil {
			s.Tubes = append(s.Tubes, ShopTube{p.s("name"), *b, p.f("wall_mm"), p.m("price_per_m")})
		} else if p.t.Get("bore_mm") == nil {
			p.wrong(p.t.Line, "bore_mm", ShopFault{Wrong: NoBore})
		}
	}
}

// casting is what the user knows of a casting material of the catalogue.
func (p *reader) casting() (ShopCasting, bool) {
	c := ShopCasting{Name: p.s("name"), PricePerKg: p.m("price_per_kg"), SG: p.f("sg"), Demold: p.f("demold_min"), Mix: p.ratio("mix"), Powder: p.f("powder_ratio"), Face: p.f("face_mm")}
	if n := p.f("pulls"); n != nil {
		c.Pulls = int(*n)
	}
	if _, ok := material.FindCasting(c.Name); c.Name != "" && !ok {
		var all []string
		for _, m := range material.Castings() {
			all = append(all, m.Name)
		}
		p.wrong(p.t.Get("name").Line, "name", ShopFault{Wrong: NoSuchCasting, Given: c.Name, Known: slices.Sorted(slices.Values(all))})
		return c, false
	}
	return c, true
}

// known complains of usual boards and rubbers that nobody knows.
func (p *reader) known(s *Shop) {
	if s.Defaults.Board != "" {
		p.board("board", s.Defaults.Board)
	}
	if n := s.Defaults.Rubber; n != "" && !strings.EqualFold(n, "auto") && p.t.Get("rubber") != nil {
		if _, ok := rubber.Find(s.Rubbers, n); !ok {
			p.wrong(p.t.Get("rubber").Line, "rubber", ShopFault{Wrong: NoSuchRubber, Given: n, Known: slices.Sorted(slices.Values(rubber.Names(s.Rubbers)))})
		}
	}
}

// reader takes the values of one table.
type reader struct {
	t    *conf.Table
	keys map[string]spec
	got  map[string]any // number float64, text string, bool, ratio [2]float64, price money.Amount, kits []rubber.Kit
	bad  []ShopError
}

func (p *reader) wrong(line int, key string, what ShopFault) {
	p.bad = append(p.bad, ShopError{Line: line, Key: p.t.Full(key), What: finding.Remark{Facts: what}})
}

func (p *reader) values() {
	p.got = map[string]any{}
	for _, e := range p.t.Entries {
		sp, ok := p.keys[e.Key]
		if !ok {
			p.wrong(e.Line, e.Key, ShopFault{Wrong: NoSuchKey, Given: e.Key, Known: slices.Sorted(maps.Keys(p.keys))})
			continue
		}
		if v, wrong := sp.read(e.Value); wrong != nil {
			p.wrong(e.Line, e.Key, *wrong)
		} else {
			p.got[e.Key] = v
		}
	}
}

// board complains of a board that is not known.
func (p *reader) board(key, name string) {
	if _, err := boxfit.BoardNamed(name); err == nil {
		return
	}
	var all []string
	for _, b := range boxfit.Boards() {
		all = append(all, b.Name)
	}
	line := p.t.Line
	if e := p.t.Get(key); e != nil {
		line = e.Line
	}
	p.wrong(line, key, ShopFault{Wrong: NoSuchBoard, Given: name, Known: slices.Sorted(slices.Values(all))})
}

// read turns a file's value into the spec's, or says what is wrong with it.
func (sp spec) read(v any) (any, *ShopFault) {
	f, isNum := number(v)
	text, isText := v.(string)
	no := func(w ShopWrong) (any, *ShopFault) {
		return nil, &ShopFault{Wrong: w, Given: v, Known: sp.words}
	}
	switch sp.kind {
	case numberValue:
		switch {
		case !isNum:
			return no(NoNumber)
		case !(f >= sp.low && f <= sp.high):
			return nil, &ShopFault{Wrong: NotBetween, Given: f, Low: sp.low, High: sp.high}
		}
		return f, nil
	case boolValue:
		if b, ok := v.(bool); ok {
			return b, nil
		}
		return no(NeitherTrueNorFalse)
	case ratioValue:
		if isText {
			if r, err := rubber.ParseRatio(text); err == nil {
				return [2]float64{r.A, r.B}, nil
			}
		}
		return no(NoRatio)
	case priceValue:
		if a, err := price(v); err == nil && a >= 0 {
			return a, nil
		}
		return no(NoPrice)
	case kitsValue:
		return kits(v)
	case dateValue:
		return day(v)
	case sheetValue:
		return sp.sheet(v)
	case nameValue:
		if !isText || strings.TrimSpace(text) == "" || len(text) > 80 {
			return no(NoName)
		}
		if strings.EqualFold(text, "auto") {
			return no(NamedAuto)
		}
		return strings.TrimSpace(text), nil
	}
	if !isText {
		return no(Unquoted)
	}
	if sp.words != nil && !slices.Contains(sp.words, text) {
		return no(NoneOfThese)
	}
	return text, nil
}

func number(v any) (float64, bool) {
	switch n := v.(type) {
	case int64:
		return float64(n), true
	case float64:
		return n, !math.IsNaN(n) && !math.IsInf(n, 0)
	}
	return 0, false
}

// price reads a number, or a decimal in quotes.
func price(v any) (money.Amount, error) {
	if s, ok := v.(string); ok {
		return money.Parse(s)
	}
	f, ok := number(v)
	if !ok {
		return 0, money.ErrRange
	}
	return money.FromFloat(f)
}

// day reads a date, as TOML has it or in quotes.
func day(v any) (any, *ShopFault) {
	if t, ok := v.(time.Time); ok {
		return rubber.Date{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}, nil
	}
	if s, ok := v.(string); ok {
		if d, ok := rubber.ParseDate(s); ok {
			return d, nil
		}
	}
	return nil, &ShopFault{Wrong: NoDay, Given: v}
}

// sheet reads [ length, width ].
func (sp spec) sheet(v any) (any, *ShopFault) {
	list, _ := v.([]any)
	if len(list) != 2 {
		return nil, &ShopFault{Wrong: NoSheet}
	}
	var out [2]float64
	for i, x := range list {
		f, ok := number(x)
		if !ok {
			return nil, &ShopFault{Wrong: NoSheet}
		}
		if !(f >= sp.low && f <= sp.high) {
			return nil, &ShopFault{Wrong: NotBetween, Given: f, Low: sp.low, High: sp.high}
		}
		out[i] = f
	}
	return out, nil
}

// kits reads [ { size_g = …, price = … }, … ].
func kits(v any) (any, *ShopFault) {
	var items []map[string]any
	switch list := v.(type) {
	case []any:
		for _, x := range list {
			m, ok := x.(map[string]any)
			if !ok {
				return nil, &ShopFault{Wrong: NoKits}
			}
			items = append(items, m)
		}
	case []map[string]any:
		items = list
	default:
		return nil, &ShopFault{Wrong: NoKits}
	}
	var out []rubber.Kit
	for i, m := range items {
		size, ok := number(m["size_g"])
		if !ok || size < 1 || size > 1e8 {
			return nil, &ShopFault{Wrong: KitSize, Kit: i + 1}
		}
		p, err := price(m["price"])
		if err != nil || p < 0 {
			return nil, &ShopFault{Wrong: KitPrice, Kit: i + 1}
		}
		if len(m) != 2 {
			return nil, &ShopFault{Wrong: KitMore, Kit: i + 1}
		}
		out = append(out, rubber.Kit{SizeG: size, Price: p})
	}
	return out, nil
}

func (p *reader) f(key string) *float64 {
	if v, ok := p.got[key].(float64); ok {
		return &v
	}
	return nil
}

func (p *reader) s(key string) string { v, _ := p.got[key].(string); return v }

func (p *reader) m(key string) *money.Amount {
	if v, ok := p.got[key].(money.Amount); ok {
		return &v
	}
	return nil
}

func (p *reader) ratio(key string) *[2]float64 {
	if v, ok := p.got[key].([2]float64); ok {
		return &v
	}
	return nil
}

// rubber checks what one key alone cannot: that a rubber has a gravity, and one
// only, a ratio, and what mixing by volume takes.
func (p *reader) rubber() (rubber.Rubber, bool) {
	before := len(p.bad)
	fig := func(key string) *material.Figure {
		if v := p.f(key); v != nil {
			return &material.Figure{Value: *v, Source: "shop file"}
		}
		return nil
	}
	r := rubber.Rubber{Name: p.s("name"), Family: material.Family(p.s("family")), What: p.s("what"), ShoreA: fig("shore_a"), ShoreOO: fig("shore_00"),
		MixBy: rubber.MixBy(p.s("mix_by")), MixSource: "shop file", SGA: fig("sg_a"), SGB: fig("sg_b"), PotLife: fig("pot_life_min"), Demold: fig("demold_min"),
		Viscosity: fig("viscosity_Pa_s"), Elongation: fig("elongation_pct"), Tear: fig("tear_N_per_mm"), HeatLimit: fig("heat_limit_C"), Shrinkage: fig("shrinkage_pct"),
		LibraryLife: fig("library_life_years"), TempC: rubber.StandardTemp, TempS: rubber.StandardTempSource, Own: true}
	r.Clear, _ = p.got["clear"].(bool)
	r.BrushOnly, _ = p.got["brush_only"].(bool)
	r.Food, _ = p.got["food"].(bool)
	r.Kits, _ = p.got["kits"].([]rubber.Kit)
	r.Stock = rubber.Stock{Left: p.f("left_g"), Lot: p.s("lot")}
	r.Stock.Opened, _ = p.got["opened"].(rubber.Date)
	r.Stock.UseBy, _ = p.got["use_by"].(rubber.Date)
	if t := p.f("temperature_C"); t != nil {
		r.TempC, r.TempS = *t, "shop file"
	}
	if r.MixBy == "" {
		r.MixBy = rubber.ByWeight
	}
	ratio := p.ratio("mix")
	if ratio != nil {
		r.MixRatio = rubber.Ratio{A: ratio[0], B: ratio[1]}.String()
	} else if p.t.Get("mix") == nil {
		p.wrong(p.t.Line, "mix", ShopFault{Wrong: NoMix})
	}
	if r.Family == material.Unknown {
		r.Family = ""
	}
	given := 0
	for _, k := range []string{"sg", "in3_per_lb", "cm3_per_kg"} {
		if e := p.t.Get(k); e != nil {
			if given++; given == 2 {
				p.wrong(e.Line, k, ShopFault{Wrong: TwoGravities})
			}
		}
	}
	var sg float64
	switch {
	case p.f("sg") != nil:
		sg = *p.f("sg")
	case p.f("in3_per_lb") != nil:
		sg = float64(unit.FromIn3PerLb(*p.f("in3_per_lb")))
	case p.f("cm3_per_kg") != nil:
		sg = 1000 / *p.f("cm3_per_kg")
	case r.SGA != nil && r.SGB != nil && ratio != nil:
		q := rubber.Ratio{A: ratio[0], B: ratio[1]}
		if r.MixBy == rubber.ByVolume {
			q = q.ByWeight(r.SGA.Value, r.SGB.Value)
		}
		sg = q.MixSG(r.SGA.Value, r.SGB.Value)
	case given == 0:
		p.wrong(p.t.Line, "sg", ShopFault{Wrong: NoGravity})
	}
	r.SG = material.Figure{Value: sg, Source: "shop file"}
	if p.t.Get("shore_a") != nil && p.t.Get("shore_00") != nil {
		p.wrong(p.t.Get("shore_00").Line, "shore_00", ShopFault{Wrong: TwoScales})
	}
	if r.MixBy == rubber.ByVolume && p.t.Get("sg_a") == nil && p.t.Get("sg_b") == nil {
		p.wrong(p.t.Get("mix_by").Line, "mix_by", ShopFault{Wrong: NoPartGravities})
	}
	return r, len(p.bad) == before && r.Name != "" && sg > 0 && ratio != nil
}
