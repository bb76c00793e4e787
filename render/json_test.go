package render

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"moldtally/estimate"
	"moldtally/mesh/finding"
)

// full sets every field that v reaches to something that is not zero, so that
// nothing is left out for being empty.
func full(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		full(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		full(v.Index(0))
	case reflect.Array:
		for i := range v.Len() {
			full(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if f.IsExported() && f.Tag.Get("json") != "-" {
				full(v.Field(i))
			}
		}
	case reflect.String:
		v.SetString("a \"word\" <&> é")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int32, reflect.Int64:
		v.SetInt(1)
	case reflect.Float32, reflect.Float64:
		v.SetFloat(math.Pi / 1e9)
	}
}

func fullPlan() *estimate.Plan {
	p := new(estimate.Plan)
	full(reflect.ValueOf(p).Elem())
	return p
}

func planJSON(t *testing.T, p *estimate.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// promised is every key that a script may rely on, part by part.
var promised = map[string]string{
	"": "schema tool version job pattern patterns gang pose demold methods choice container options rubber casting cost letter schedule verdict not_checked warnings cautions",
	"pattern": "file format units units_from triangles vertices size_mm area_mm2 closed boundary_edges nonmanifold_edges turned_edges " +
		"degenerate_faces duplicate_faces pieces crumbs through_holes sealed_voids sealed_void_volume_mm3 signed_volume_mm3 material_volume_mm3 " +
		"displaced_volume_mm3 displaced_low_mm3 displaced_high_mm3 displaced_method self_crossings repairs",
	"patterns":      "file count size_mm displaced_volume_mm3 up verdict",
	"gang":          "castings_per_pour web_mm together one_of_each as_many_single",
	"gang.together": "molds rubber_mass_g labor_min castings_a_day casting_days molds_needed",
	"pose":          "up reason yaw_deg height_mm rect_mm circle_mm base_contact_mm2 base_contact_fraction",
	"demold": "undercut_volume_mm3 undercut_area_mm2 undercut_depth_mm undercut_path_mm undercut_depth_at_mm undercut_path_at_mm " +
		"stretch stretch_at_mm stretch_neck_mm stretch_bulge_mm squeeze mouth tunnels trapped_volume_mm3 draft_area_fraction regions air_traps " +
		"parting seam flap directions resolution_mm uncertainty_mm",
	"demold.mouth":               "at_mm perimeter_mm area_mm2",
	"demold.draft_area_fraction": "under_0 0_1 1_3 over_3",
	"demold.regions":             "id kind depth_mm path_mm volume_mm3 area_mm2 at_mm height_mm",
	"demold.tunnel_list":         "id region opening_mm length_mm web_area_mm2 web_size_mm at_mm web_at_mm direction",
	"demold.webs":                "cut_area_mm2 uncut slit",
	"demold.thin":                "kind thickness_mm area_mm2 depth_mm at_mm places",
	"demold.webs.slit":           "undercut_path_mm undercut_volume_mm3 linked_volume_mm3 stretch",
	"demold.air_traps":           "pour volume_mm3 at_mm",
	"demold.draft_area_mm2":      "under_0 0_1 1_3 over_3",
	"demold.air":                 "pour half up caught_mm3 traps at_mm tilt_deg toward left_mm3 vents_at_mm box_over_mm sprue_at_mm",
	"demold.parting":             "kind height_mm length_mm flatness_mm line_mm breaks halves",
	"demold.seam":                "plane_normal plane_offset_mm side hinge_along from_mm to_mm line_mm length_mm opens left_path_mm left_path_at_mm left_stretch",
	"demold.seam.opens":          "region left_mm",
	"demold.flap":                "height_mm swing_mm at_mm out",
	"demold.parting.halves":      "upper_mm2 lower_mm2 either_mm2 trapped_mm2 upper_undercut_mm2 lower_undercut_mm2 upper_volume_mm3 lower_volume_mm3",
	"demold.parting.breaks":      "at_mm height_mm",
	"demold.directions":          "up undercut_depth_mm undercut_path_mm undercut_volume_mm3 stretch score",
	"container": "kind mold interior_mm diameter_mm sides wall_mm over_mm under_mm fill_height_mm capacity_mm3 stock thinnest_mm thinnest_at_mm " +
		"boards seam_length_mm hold_down_N hold_down_with_margin_N floor_pressure_kPa wall_force_N board_bow_mm brace lift_mass_g sprue vents",
	"container.layout": "file at_mm turn_deg",
	"container.sprue":  "at_mm diameter_mm end_mm joins_mm",
	"container.vents":  "at_mm diameter_mm end_mm joins_mm",
	"container.boards": "name count length_mm width_mm thickness_mm",
	"options":          "mold container rubber_volume_mm3 rubber_mass_g cost",
	"rubber": "name family shore_a sg volume_mm3 volume_low_mm3 volume_high_mm3 mass_g mass_to_mix_g part_a_g part_b_g part_a_ml part_b_ml " +
		"ratio_error pours kits cost pot_life_min demold_min hardness reasons " +
		"have_ways sg_without_additives additives tear_N_per_mm pot_life_low_min pot_life_high_min vacuum practice risks_to_pattern",
	"rubber.pours":         "half volume_mm3 part_a_g part_b_g batches additives_g",
	"rubber.pours.batches": "part_a_g part_b_g cup_ml additives_g",
	"rubber.kits":          "size_g count cost",
	"rubber.hardness": "low_shore_a high_shore_a low_reason high_reason low_source high_source wants preferred life usable_share_of_elongation opens curve " +
		"open_force_N pull_off_force_N pull_in_container_N pull_off_how hands_force_N hands_how eased force_factor alone_shore_a alone_reason",
	"rubber.hardness.eased": "how force_N",
	"rubber.hardness.wants": "toward shore_a why source won",
	"rubber.hardness.opens": "what low_shore_a high_shore_a opens",
	"rubber.hardness.curve": "shore_a comfortable_strain allowed_strain limit_strain force_N",
	"casting.cold_face":     "thickness_mm area_mm2 volume_mm3 resin_g powder_g backing_resin_g dust_g dust_low_g dust_high_g powder_share_of_volume",
	"casting.foam":          "pack_share pressure_low_kPa pressure_high_kPa lid_area_mm2 lid_force_low_N lid_force_high_N side_force_high_N",
	"casting":               "material pour_up volume_mm3 mass_g part_a_g part_b_g powder_g pulls_per_mold molds_needed demold_min demold_low_min demold_high_min",
	"cost":                  "currency lines subtotal overhead margin total per_casting draft",
	"cost.lines":            "what quantity unit unit_price amount",
	"verdict":               "answer because",
	"warnings":              "code severity summary effect hint at_mm",
}

func TestJSONKeys(t *testing.T) {
	var top any
	out := planJSON(t, fullPlan())
	if err := json.Unmarshal(out, &top); err != nil {
		t.Fatal(err)
	}
	for path, want := range promised {
		v := top
		if path != "" {
			for _, k := range strings.Split(path, ".") {
				if l, ok := v.([]any); ok {
					v = l[0]
				}
				v = v.(map[string]any)[k]
			}
			if l, ok := v.([]any); ok {
				v = l[0]
			}
		}
		got, ok := v.(map[string]any)
		if !ok {
			t.Errorf("%q is no object", path)
			continue
		}
		for _, k := range strings.Fields(want) {
			if _, ok := got[k]; !ok {
				t.Errorf("%q lacks the key %q", path, k)
			}
		}
	}
}

func TestJSONTopLevelOrder(t *testing.T) {
	d := json.NewDecoder(bytes.NewReader(planJSON(t, fullPlan())))
	if _, err := d.Token(); err != nil {
		t.Fatal(err)
	}
	var got []string
	for d.More() {
		k, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, k.(string))
		var skip json.RawMessage
		if err := d.Decode(&skip); err != nil {
			t.Fatal(err)
		}
	}
	if want := strings.Fields(promised[""]); !slices.Equal(got, want) {
		t.Errorf("keys come as %v, want %v", got, want)
	}
}

// The standard encoder must agree wherever it promises the same, to the last
// digit: it knows no words, and has null for a nil slice.
func TestJSONAgainstStandard(t *testing.T) {
	parse := func(raw []byte) (v any) {
		d := json.NewDecoder(bytes.NewReader(raw))
		d.UseNumber()
		if err := d.Decode(&v); err != nil {
			t.Fatal(err)
		}
		return v
	}
	for name, p := range map[string]*estimate.Plan{"full": fullPlan(), "sample": samplePlan()} {
		want, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		ours := cmp.FilterValues(func(x, y any) bool {
			empty := func(v any) bool { l, ok := v.([]any); return ok && len(l) == 0 }
			worded := func(facts, words any) bool {
				_, said := words.(string)
				if _, kind := facts.(json.Number); kind {
					return said
				}
				m, ok := facts.(map[string]any)
				_, has := m["Facts"]
				return ok && (said || has)
			}
			return x == nil && empty(y) || y == nil && empty(x) || worded(x, y) || worded(y, x)
		}, cmp.Comparer(func(x, y any) bool { return true }))
		if d := cmp.Diff(parse(want), parse(planJSON(t, p)), ours); d != "" {
			t.Errorf("%s differs (-standard +ours):\n%s", name, d)
		}
	}
}

func TestJSONGolden(t *testing.T) { golden(t, "plan.json", planJSON(t, samplePlan())) }

func TestJSONEmptyPart(t *testing.T) {
	out := string(planJSON(t, &estimate.Plan{Schema: 1, Tool: "moldtally", Pattern: &estimate.Pattern{}}))
	for _, want := range []string{`"not_checked": []`, `"warnings": []`, `"cautions": []`, `"repairs": []`, `"through_holes": null`, `"displaced_method": null`, `"size_mm": [0, 0, 0]`} {
		if !strings.Contains(out, want) {
			t.Errorf("lacks %s:\n%s", want, out)
		}
	}
	for _, not := range []string{"demold", "methods", "choice", "container", "options", "verdict", "casting"} {
		if strings.Contains(out, `"`+not+`"`) {
			t.Errorf("has %q, a part that was not computed", not)
		}
	}
}

func TestJSONNotFinite(t *testing.T) {
	for _, c := range []struct {
		path string
		set  func(p *estimate.Plan)
	}{
		{"pattern.area_mm2", func(p *estimate.Plan) { p.Pattern.Area = math.NaN() }},
		{"pattern.size_mm[1]", func(p *estimate.Plan) { p.Pattern.Size[1] = math.Inf(1) }},
		{"demold.undercut_path_mm", func(p *estimate.Plan) { p.Demold.UndercutPath = ptr(math.Inf(1)) }},
		{"demold.regions[2].depth_mm", func(p *estimate.Plan) { p.Demold.Regions[2].Depth = math.Inf(-1) }},
		{"rubber.pours[0].batches[1].cup_ml", func(p *estimate.Plan) { p.Rubber.Pours[0].Batches[1].Cup = math.NaN() }},
		{"warnings[1].at_mm[2]", func(p *estimate.Plan) { p.Warnings[1].At = &[3]float64{0, 0, math.NaN()} }},
	} {
		p := samplePlan()
		c.set(p)
		var b bytes.Buffer
		err := WriteJSON(&b, p)
		if err == nil || !strings.Contains(err.Error(), c.path) {
			t.Errorf("got error %v, want one that names %s", err, c.path)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes were written before the error", c.path, b.Len())
		}
	}
}

func TestManyJSON(t *testing.T) {
	p := &estimate.Plan{Schema: 1, Tool: "moldtally", Version: "0.1.0", Warnings: finding.List{}}
	var b bytes.Buffer
	if err := WriteManyJSON(&b, "0.1.0", []Entry{{Plan: p}, {File: "b.stl", Error: "empty file"}}, map[string]int(nil)); err == nil {
		t.Error("a map has no order and must be refused")
	}
	b.Reset()
	total := struct {
		Patterns int `json:"patterns"`
	}{2}
	if err := WriteManyJSON(&b, "0.1.0", []Entry{{Plan: p}, {File: "b.stl", Error: "empty file"}}, total); err != nil {
		t.Fatal(err)
	}
	golden(t, "many.json", b.Bytes())
	var got struct {
		Plans []map[string]any
		Total map[string]any
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Plans) != 2 || got.Plans[1]["file"] != "b.stl" || got.Plans[1]["error"] != "empty file" || got.Total["patterns"] != 2.0 {
		t.Errorf("got %v", got)
	}
	b.Reset()
	if err := WriteManyJSON(&b, "0.1.0", nil, nil); err != nil || !strings.Contains(b.String(), `"plans": []`) || !strings.Contains(b.String(), `"total": null`) {
		t.Errorf("no patterns: %v, %s", err, &b)
	}
}

func BenchmarkWriteJSON(b *testing.B) {
	p := samplePlan()
	for b.Loop() {
		if err := WriteJSON(&bytes.Buffer{}, p); err != nil {
			b.Fatal(err)
		}
	}
}
