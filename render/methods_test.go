package render

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
)

// methodKeys are the keys of each of the methods that scripts are promised.
var methodKeys = []string{"mold", "slit", "up", "container", "chosen", "verdict", "path_mm", "rubber", "rubber_volume_mm3", "rubber_mass_g", "shell_mass_g",
	"labor_min", "days", "cost", "basis", "risks", "fails"}

// answered is the JSON of a job: its answer, and its methods.
type answered struct {
	Schema  int
	Job     struct{ Answer string }
	Methods []map[string]any
	Verdict struct{ Answer string }
}

func answerTo(t *testing.T, m *mesh.Mesh, job estimate.Job) answered {
	t.Helper()
	job.Source = estimate.Source{File: "body.stl", Units: "mm", UnitsFrom: estimate.UnitsSaid, Resized: 1}
	job.Parts.StopAfter, job.Resolution = estimate.ThroughContainer, 2
	s, err := estimate.Tally(context.Background(), m, job, estimate.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteJSON(&b, s.Plan); err != nil {
		t.Fatal(err)
	}
	var a answered
	if err := json.Unmarshal(b.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// Every kind of mold stands in the list with every key, whatever is asked: the
// chosen one first, then what works, the cheapest first, then what fails and why. A
// kind that is asked for stands first, and what fails it alone never refuses the job;
// of a job that is refused none is chosen.
func TestEveryMethodIsListed(t *testing.T) {
	bar, tee := shape.Box(20, 20, 60), shape.TShape(40, 8, 8, 20)
	for _, c := range []struct {
		name   string
		m      *mesh.Mesh
		job    estimate.Job
		answer string // "" = go or open
	}{
		{"a tee", tee, estimate.Job{}, ""},
		{"a bar that only a block lays down into the box", bar, estimate.Job{Mold: demold.Cut, Inside: &[3]float64{70, 30, 30}}, "open"},
		{"a bar in zinc", bar, estimate.Job{Mold: demold.Brushed, Cast: "zinc-alloy"}, "no"},
	} {
		a := answerTo(t, c.m, c.job)
		if c.answer == "" && a.Job.Answer == "no" || c.answer != "" && a.Job.Answer != c.answer || a.Schema != 2 {
			t.Errorf("%s: schema %d, the job's answer is %s, want %s", c.name, a.Schema, a.Job.Answer, c.answer)
		}
		seen := map[any]bool{}
		for i, m := range a.Methods {
			seen[m["mold"]] = true
			checkMethod(t, c.name, m)
			if m["chosen"] != (i == 0 && a.Job.Answer != "no") {
				t.Errorf("%s: method %d has chosen %v where the job is %s", c.name, i, m["chosen"], a.Job.Answer)
			}
			if i > 1 {
				checkOrder(t, c.name, a.Methods[i-1], m)
			}
		}
		if first := a.Methods[0]; c.job.Mold != "" && first["mold"] != string(c.job.Mold) || first["verdict"] != a.Verdict.Answer && len(fails(first)) == 0 {
			t.Errorf("%s: the first is %v, %v; the verdict is %s", c.name, first["mold"], first["verdict"], a.Verdict.Answer)
		}
		if len(seen) != 5 {
			t.Errorf("%s: kinds of mold %v, want all five", c.name, seen)
		}
	}
}

func fails(m map[string]any) []any { f, _ := m["fails"].([]any); return f }

// checkMethod holds one method against what its keys promise.
func checkMethod(t *testing.T, name string, m map[string]any) {
	t.Helper()
	for _, k := range methodKeys {
		if _, ok := m[k]; !ok {
			t.Errorf("%s: %v has no %s", name, m["mold"], k)
		}
	}
	if _, told := m["slit"].(bool); told != (m["mold"] == "block") {
		t.Errorf("%s: slit of %v is %v", name, m["mold"], m["slit"])
	}
	coated := m["mold"] == "blanket" || m["mold"] == "brushed"
	if _, shell := m["shell_mass_g"].(float64); shell != coated || coated != (m["container"] == "mother mold") {
		t.Errorf("%s: %v stands in a %v of %v g", name, m["mold"], m["container"], m["shell_mass_g"])
	}
	for _, k := range []string{"cost", "labor_min", "days"} {
		if v, ok := m[k].(float64); !ok || v <= 0 {
			t.Errorf("%s: %s of %v is %v", name, k, m["mold"], m[k])
		}
	}
	long := 0.0
	for _, x := range m["up"].([]any) {
		long += x.(float64) * x.(float64)
	}
	if math.Abs(long-1) > 1e-9 {
		t.Errorf("%s: up of %v is %v, no direction", name, m["mold"], m["up"])
	}
	if !slices.Contains([]any{"comes out", "comes out in soft rubber", "slit it", "make it in two parts", "locked"}, m["verdict"]) || !slices.Contains([]any{"shop", "nominal"}, m["basis"]) {
		t.Errorf("%s: verdict %v and basis %v of %v", name, m["verdict"], m["basis"], m["mold"])
	}
}

// checkOrder holds two neighbors that come after the first against the order.
func checkOrder(t *testing.T, name string, a, b map[string]any) {
	t.Helper()
	af, bf := len(fails(a)) > 0, len(fails(b)) > 0
	if af && !bf || af == bf && a["cost"].(float64) > b["cost"].(float64) {
		t.Errorf("%s: %v (%v, fails %v) stands before %v (%v, fails %v)", name, a["mold"], a["cost"], af, b["mold"], b["cost"], bf)
	}
}
