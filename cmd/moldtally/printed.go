package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"moldtally/boxfit"
	"moldtally/boxfit/printed"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/meshfile"
	"moldtally/render/figure"
)

// printedForm is the format of a printed container by its file's name.
func printedForm(name string) (string, bool) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".stl":
		return "stl", true
	case ".3mf":
		return "3mf", true
	}
	return "", false
}

// printedContainer makes the container of a plan as bodies to print, and tells what
// it is made of.
func (a *app) printedContainer(ctx context.Context, sess *estimate.Session, s *settings, target string) (func(io.Writer) error, error) {
	if sess.Fit == nil {
		return nil, &failure{"there is no container to print", "no bodies were made", "see the sheet for what stops the plan"}
	}
	var bed printed.Printer
	if s.printer != nil {
		bed = printed.Printer(*s.printer)
	}
	sg := boxfit.DefaultSG
	if r := sess.Plan.Rubber; r != nil {
		sg = r.SG
	}
	land, err := bedOf(ctx, sess)
	if err != nil {
		return nil, err
	}
	made, err := printed.For(ctx, sess.Fit, bed, sg, land)
	switch {
	case errors.Is(err, printed.ErrShape):
		return nil, &failure{fmt.Sprintf("a %s is not made to print", sess.Fit.Kind), "no bodies were made", "plan a poured block, cut mold or halves in a box, polygon or tube: --mold block --container box"}
	case errors.Is(err, printed.ErrTooSmall):
		instead := "build it of boards"
		if sess.Fit.Kind == boxfit.Mother {
			instead = "build the shell up by hand: its measures are on the sheet"
		}
		return nil, &failure{"the printer is too small for this container", "no bodies were made", "give the size of a larger bed with --printer L,W,H, or " + instead}
	case err != nil:
		return nil, err
	}
	bodies, err := made.Laid()
	if err != nil {
		return nil, err
	}
	if u := (figure.Units{System: s.system}); sess.Fit.Kind == boxfit.Mother {
		a.noteShell(made, u)
	} else {
		a.noteVessel(made, u)
	}
	form, _ := printedForm(target)
	return func(w io.Writer) error { return writeBodies(w, form, bodies) }, nil
}

// bedOf is where two halves of a plan part, nil where there are none.
func bedOf(ctx context.Context, sess *estimate.Session) (*printed.Bed, error) {
	f, r := sess.Fit, sess.Report
	if f.Mold != demold.TwoPart || f.RubberBelow == nil || f.Interior == nil || r == nil || r.Parting == nil {
		return nil, nil
	}
	return printed.BedOf(ctx, f, sess.Solid, f.Under+r.Parting.Height)
}

// noteVessel tells what a printed box, polygon or tube is made of.
func (a *app) noteVessel(made *printed.Made, u figure.Units) {
	walls, trays := 0, 0
	for _, p := range made.Parts {
		switch p.Role {
		case printed.WallPart:
			walls++
		case printed.TrayPart:
			trays++
		}
	}
	a.note("the printed container has %s (%s of the walls, %d of the floor) and takes %s M%.0f with nuts and washers; seal its joints with clay or wax from outside, and put release on it",
		figure.Count(len(made.Parts), "part", "parts"), figure.Count(walls, "piece", "pieces"), len(made.Parts)-walls-trays, figure.Count(made.Bolts, "bolt", "bolts"), made.BoltSize)
	if trays > 0 {
		a.note("%s instead of the clay bed: set the pattern on lumps of clay so that its parting line lies in the face, close the gap with a thread of clay, lay greased rods in the grooves of sprue and vents, and pour the first half; then turn it, take the tray off and pour the second", figure.Count(trays, "part is a tray", "parts are a tray"))
	}
	if made.Bows {
		a.note("its walls bow by %s under the rubber: put a board along each wide one, and straps round them", u.Inline(figure.Length(made.Bow, 0.1)))
	}
}

// noteShell tells what a printed mother mold is made of, and what its rubber is beside
// what the sheet has.
func (a *app) noteShell(made *printed.Made, u figure.Units) {
	bolts := ""
	if made.Bolts > 0 {
		bolts = fmt.Sprintf(", and takes %s M%.0f with nuts and wide washers", figure.Count(made.Bolts, "bolt", "bolts"), made.BoltSize)
	}
	a.note("the printed shell has %s, %s thick%s; seal its joints with clay or wax from outside, and put release on its inside",
		figure.Count(len(made.Parts), "piece", "pieces"), u.Inline(figure.Length(made.Wall, 0.1)), bolts)
	if made.Spout > 0 {
		a.note("its pour hole is %s wide; %s", u.Inline(figure.Length(made.Spout, 1)), air(made.Risers))
	}
	if made.Buttons > 0 {
		a.note("the shell has %s that hold the blanket; they take %s of rubber more than the sheet has", figure.Count(made.Buttons, "pit for a button", "pits for buttons"), u.Inline(figure.Volume(made.ButtonVolume, made.ButtonVolume, made.ButtonVolume)))
	}
}

// air tells how the air of a poured blanket leaves.
func air(risers int) string {
	if risers == 0 {
		return "air leaves through it as well, so pour in a thin stream at one side"
	}
	return "close " + figure.Count(risers, "riser", "risers") + " with clay once rubber stands in it"
}

// writeBodies writes bodies in a format: objects of their own where it has them.
func writeBodies(w io.Writer, form string, bodies []*mesh.Mesh) error {
	if form == "3mf" {
		return meshfile.WriteThreeMF(w, bodies)
	}
	m, err := printed.Joined(bodies)
	if err != nil {
		return err
	}
	return meshfile.Write(w, form, m)
}
