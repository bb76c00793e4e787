package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"moldtally/estimate"
	"moldtally/estimate/record"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/words"
)

// logBeside is the log of pours that goes with a shop file.
func logBeside(shop string) string {
	return strings.TrimSuffix(shop, filepath.Ext(shop)) + ".pours.csv"
}

// logPath is the log of pours that a run reads and writes; "" where there is
// nowhere to keep one.
func (s *settings) logPath() (string, error) {
	if s.shop != "" {
		return logBeside(s.shop), nil
	}
	p, err := shopPath()
	if err != nil {
		return "", err
	}
	return logBeside(p), nil
}

// useLog reads what the shop's pours took, if any are on record.
func (s *settings) useLog() error {
	path, err := s.logPath()
	if err != nil {
		return nil // nowhere to look is as good as none there
	}
	s.job.Log, err = readLog(path)
	return err
}

// readLog reads a log of pours; one that is not there is empty.
func readLog(path string) (record.Log, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &failure{fmt.Sprintf("the log of pours %s cannot be opened: %v", path, cause(err)), "your own loss and the life of your molds are not known", "check its permissions, or move it away"}
	}
	defer f.Close()
	l, err := record.Read(f)
	var bad *record.Fault
	if errors.As(err, &bad) {
		told, _ := words.Explain(bad, unit.Metric)
		return nil, &failure{fmt.Sprintf("the log of pours %s: %s", filepath.Base(path), told.Summary), "your own loss and the life of your molds are not known", "mend or take out that line of " + path}
	}
	return l, err
}

// outcome is what a user tells of a pour.
type outcome struct {
	mixed, left *float64
	made        int
	worn        bool
	date        rubber.Date
}

func (a *app) shopRecordCommand() *cobra.Command {
	s, o := &settings{}, &outcome{}
	c := &cobra.Command{
		Use:   "record JOB.json",
		Short: "Log what a pour really took",
		Long: `record adds a line to the log of your pours, which lies beside the shop file: what
was planned in JOB.json (written by moldtally plan PATTERN --json), what you mixed and
what was left over. Once there are five, plans allow for loss by your own pours, and
say so. When the mold is done with, record it with --copies-made: once five molds of a
kind are on record, plans reckon with how long yours last. A mold that gave just the
castings that were wanted may be as good as new, and says nothing of its life, unless
--worn-out is given. The log is a table that any spreadsheet reads; take out a line
that is wrong.`,
		Example: `moldtally plan bust.stl --json > bust.json
moldtally shop record bust.json --mixed 1450g --left 60g
moldtally shop record bust.json --mixed 1450g --left 60g --copies-made 34`,
		Args: args(1, 1, "JOB.json"),
		RunE: func(_ *cobra.Command, args []string) error { return a.record(s, o, args[0]) },
	}
	g := groups{}
	add := g.add("What it took")
	add(massValue(&o.mixed, false), "mixed", "rubber that was mixed, A and B together")
	add(massValue(&o.left, true), "left", "of that, what was left over (0)")
	add(countValue(&o.made), "copies-made", "castings that the mold gave")
	g.switches(&o.worn, "worn-out", "and then it was worn out")
	add(dateValue(&o.date), "date", "the day of the pour, 2026-03-09")
	g.add("Shop")(fileValue(&s.shop), "shop", "the shop file that the log lies beside (in your settings folder)")
	g.add("Common")
	g.switches(&s.json, "json", "print one JSON object")
	g.help()
	a.install(c, g)
	return c
}

// planned is what a recorded pour needs of a plan's JSON.
type planned struct {
	Plans   []json.RawMessage `json:"plans"`
	Pattern *struct {
		File *string `json:"file"`
	} `json:"pattern"`
	Container *struct {
		Mold string `json:"mold"`
	} `json:"container"`
	Rubber *struct {
		Name   string   `json:"name"`
		Family string   `json:"family"`
		SG     float64  `json:"sg"`
		High   float64  `json:"volume_high_mm3"`
		ToMix  *float64 `json:"mass_to_mix_g"`
	} `json:"rubber"`
	Casting *struct {
		Material string `json:"material"`
		Copies   int    `json:"copies"`
		Usual    *int   `json:"pulls_usual"`
	} `json:"casting"`
}

// readPlanned reads a plan of one pattern as plan --json wrote it.
func (a *app) readPlanned(name string) (*planned, error) {
	in := a.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, &failure{fmt.Sprintf("%s cannot be opened: %v", name, cause(err)), "nothing was recorded", "name the file that moldtally plan PATTERN --json wrote"}
		}
		defer f.Close()
		in = f
	}
	const most = 256 << 20 // a plan is far smaller; another file is not read into memory whole
	var p planned
	hint := "name the file that moldtally plan PATTERN --json wrote"
	if err := json.NewDecoder(io.LimitReader(in, most)).Decode(&p); err != nil {
		return nil, &failure{name + " is not a plan: " + err.Error(), "nothing was recorded", hint}
	}
	switch {
	case len(p.Plans) == 1:
		one := planned{}
		if err := json.Unmarshal(p.Plans[0], &one); err != nil {
			return nil, &failure{name + " is not a plan: " + err.Error(), "nothing was recorded", hint}
		}
		p = one
	case len(p.Plans) > 1:
		return nil, &failure{fmt.Sprintf("%s holds the plans of %d patterns", name, len(p.Plans)), "nothing was recorded: which of them was poured is not known", "plan the one that was poured by itself"}
	}
	switch r := p.Rubber; {
	case r == nil || !(r.SG > 0 && r.High > 0):
		return nil, &failure{name + " holds no plan of a mold's rubber", "nothing was recorded", hint}
	case r.ToMix == nil:
		return nil, &failure{name + " is a plan that says no: it has no weights", "nothing was recorded", "plan the mold as it was made, and record that"}
	}
	return &p, nil
}

// pour is a plan and its outcome as the log has them.
func (p *planned) pour(o *outcome) record.Pour {
	r := record.Pour{Date: o.date.String(), Rubber: p.Rubber.Name, Family: p.Rubber.Family, Needed: p.Rubber.SG * p.Rubber.High / 1000, ToMix: *p.Rubber.ToMix,
		Made: o.made, WornOut: o.worn}
	if o.mixed != nil {
		r.Mixed = *o.mixed
	}
	if o.left != nil {
		r.Left = *o.left
	}
	if p.Pattern != nil && p.Pattern.File != nil {
		r.File = *p.Pattern.File
	}
	if p.Container != nil {
		r.Mold = p.Container.Mold
	}
	if c := p.Casting; c != nil {
		r.Cast, r.Asked = c.Material, c.Copies
		if c.Usual != nil {
			r.Usual = *c.Usual
		}
	}
	return r
}

// record adds a pour to the log and tells what it says.
func (a *app) record(s *settings, o *outcome, name string) error {
	switch {
	case o.mixed == nil && o.made == 0:
		return usagef("give --mixed, what you weighed; or --copies-made, when the mold is done with", "shop record is told nothing of the pour")
	case o.left != nil && o.mixed == nil:
		return usagef("give --mixed as well", "--left is of what was mixed")
	case o.left != nil && *o.left > *o.mixed:
		return usagef("check the two masses", "--left is more than --mixed")
	case o.worn && o.made == 0:
		return usagef("say how many castings it gave: --copies-made", "--worn-out is of a mold that gave castings")
	}
	path, err := s.logPath()
	if err != nil {
		return err
	}
	was, err := readLog(path)
	if err != nil {
		return err
	}
	p, err := a.readPlanned(name)
	if err != nil {
		return err
	}
	pour := p.pour(o)
	if err := addToLog(path, pour); err != nil {
		return err
	}
	if pour.Odd() {
		a.say("caution", fmt.Sprintf("this pour took %.0f g, and the plan's mold holds %.0f g", pour.Mixed-pour.Left, pour.Needed))
		a.say("effect", "if it was another mold or size, plans will allow for a loss that is not yours")
		a.say("hint", "check the plan and the masses; take the last line out of "+path+" if it is wrong")
	}
	l := append(was, pour)
	if s.json {
		return a.printJSON(&struct {
			Schema  int       `json:"schema"`
			Tool    string    `json:"tool"`
			Version string    `json:"version"`
			Pours   poursTold `json:"pours"`
		}{estimate.Schema, "moldtally", version, tellPours(path, l)})
	}
	return a.printSheet(render.NewRecord(path, l))
}

// addToLog writes a pour at the end of a log, in one piece; a log that is not
// there is begun.
func addToLog(path string, p record.Pour) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return cannotWrite(path, err)
	}
	text := p.Line()
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o666)
	if err != nil {
		return cannotWrite(path, err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return cannotWrite(path, err)
	}
	if st.Size() == 0 {
		text = record.Heading() + text
	} else {
		end := make([]byte, 1)
		if _, err := f.ReadAt(end, st.Size()-1); err != nil {
			return cannotWrite(path, err)
		}
		if end[0] != '\n' {
			text = "\n" + text // as a hand left it
		}
	}
	if _, err := f.WriteString(text); err != nil {
		return cannotWrite(path, err)
	}
	return f.Close()
}

// poursTold is a log of pours as JSON tells it. Masses g, shares of what a mold
// holds or usually gives; null is not known.
type poursTold struct {
	File        string     `json:"file"`
	LossPoured  *float64   `json:"loss_poured_share"`
	LossBrushed *float64   `json:"loss_brushed_share"`
	Wear        []wearTold `json:"mold_life"`
	Pours       []pourTold `json:"log"`
}

type wearTold struct {
	Cast   string  `json:"casting"`
	Family string  `json:"family"`
	Low    float64 `json:"low_share"`
	Mid    float64 `json:"share"`
	High   float64 `json:"high_share"`
	Molds  int     `json:"molds"`
}

type pourTold struct {
	Date   *string  `json:"date"`
	File   *string  `json:"file"`
	Mold   *string  `json:"mold"`
	Rubber string   `json:"rubber"`
	Needed float64  `json:"needed_g"`
	ToMix  float64  `json:"mass_to_mix_g"`
	Mixed  *float64 `json:"mixed_g"`
	Left   *float64 `json:"left_g"`
	Loss   *float64 `json:"loss_share"`
	Made   *int     `json:"copies_made"`
}

// tellPours makes JSON of a log.
func tellPours(path string, l record.Log) poursTold {
	t := poursTold{File: filepath.Base(path), Wear: []wearTold{}, Pours: []pourTold{}}
	if share, of := l.Loss(false); of > 0 {
		t.LossPoured = &share
	}
	if share, of := l.Loss(true); of > 0 {
		t.LossBrushed = &share
	}
	for _, w := range l.Wears() {
		t.Wear = append(t.Wear, wearTold{w.Cast, w.Family, w.Low, w.Mid, w.High, w.Of})
	}
	for _, p := range l {
		told := pourTold{Date: said(p.Date), File: said(p.File), Mold: said(p.Mold), Rubber: p.Rubber, Needed: p.Needed, ToMix: p.ToMix, Made: said(p.Made)}
		if p.Mixed > 0 {
			told.Mixed, told.Left, told.Loss = &p.Mixed, &p.Left, new(p.Loss())
		}
		t.Pours = append(t.Pours, told)
	}
	return t
}

// said is a value that was given; nil for none.
func said[T comparable](v T) *T {
	var none T
	if v == none {
		return nil
	}
	return &v
}
