package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
)

// usJobs are jobs with different things to tell, beside those of TestFirstScreens.
var usJobs = []string{
	"demold arch.stl --up +z --mold block --resolution 2mm",
	"pour --box 300,200,200 --temp 30C --copies 4",
	"pour --sleeve 80,120 --displaced 100ml --mix 100:10 --mix-by volume --sg-a 1.1 --sg-b 1",
}

var (
	// metricFigure is a number with a metric unit.
	metricFigure = regexp.MustCompile(`\d[\d.,/]*[  ]?(mm|cm|m|mm²|cm²|m²|mm³|cm³|ml|mL|L|l|litres?|g|kg|N|kN|kPa|MPa|mbar|bar|Torr)\b|\d ?(mm|cm|m)[²³]|°C|g/cm³`)
	// Coordinates are those of the file, and say so.
	coordinates = regexp.MustCompile(`x -?[\d.]+, y -?[\d.]+, z -?[\d.]+( to x -?[\d.]+, y -?[\d.]+, z -?[\d.]+)* mm`)
	// What the catalogue calls a material is its name.
	named = regexp.MustCompile(`free rise 80 kg/m3|presses on the mold with 10 to 70 kPa`)
	// Grams are exact on the scale, so they stand beside ounces.
	gramsBeside = regexp.MustCompile(`oz [\d.]+( \d{3})*(\.\d+)? g\b|[\d.]+( \d{3})*(\.\d+)? g \(`)
)

// With --system us no metric figure is left in any sentence, row or table, but
// for grams beside ounces and coordinates of the file.
func TestUSUnitsEverywhere(t *testing.T) {
	for i, job := range usJobs {
		if testing.Short() && i > 0 && !strings.HasPrefix(job, "pour") {
			continue
		}
		t.Run(job, func(t *testing.T) {
			t.Parallel()
			args := strings.Fields(job)
			if args[0] != "pour" {
				args[1] = "../../testdata/" + args[1]
			}
			var out, err bytes.Buffer
			if status := run(append(args, "--system", "us"), strings.NewReader(""), &out, &err); status != exitOK {
				t.Fatalf("status %d: %s", status, err.String())
			}
			noMetric(t, out.String()+"\n"+err.String())
		})
	}
}

// noMetric tells each metric figure that is left in a text in US units.
func noMetric(t *testing.T, text string) {
	t.Helper()
	text = named.ReplaceAllString(strings.Join(strings.Fields(text), " "), "")
	text = gramsBeside.ReplaceAllString(coordinates.ReplaceAllString(text, ""), "")
	for _, at := range metricFigure.FindAllStringIndex(text, -1) {
		t.Errorf("… %s", text[max(0, at[0]-70):min(len(text), at[1]+30)])
	}
}
