package words

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
)

var update = flag.Bool("update", false, "rewrite CODES.md")

// declared finds every finding.Code that a package declares, with the package.
func declared(t *testing.T) map[finding.Code]string {
	out := map[finding.Code]string{}
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok || v.Type == nil || len(v.Values) != 1 {
				return true
			}
			if s, ok := v.Type.(*ast.SelectorExpr); !ok || s.Sel.Name != "Code" {
				return true
			}
			lit, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			c := finding.Code(lit)
			if other := out[c]; other != "" {
				t.Errorf("%s is declared in %s and in %s", c, other, p)
			}
			if !regexp.MustCompile(`^[a-z]+\.[a-z-]+$`).MatchString(lit) {
				t.Errorf("code %s is not written stage.what in lower case", lit)
			}
			out[c] = p
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Every code has words, and example facts of the type that the words are for.
func TestEveryCodeHasWords(t *testing.T) {
	codes := declared(t)
	for c, where := range codes {
		if _, ok := allFindings[c]; !ok {
			t.Errorf("%s, declared in %s, has no words", c, where)
		}
	}
	for c, x := range allFindings {
		if codes[c] == "" {
			t.Errorf("no package declares %s", c)
		}
		if len(exampleFindings[c]) == 0 {
			t.Errorf("%s has no example of %s", c, x.facts)
		}
		for _, f := range exampleFindings[c] {
			if reflect.TypeOf(f) != x.facts {
				t.Errorf("%s: example of %T, want %s", c, f, x.facts)
			}
		}
	}
	have := map[reflect.Type]bool{}
	for _, r := range exampleRemarks {
		have[reflect.TypeOf(r)] = true
	}
	for r := range allRemarks {
		if !have[r] {
			t.Errorf("%s has no example", r)
		}
	}
}

// Every fault of a file that meshfile names has words, and no other.
func TestEveryFaultHasWords(t *testing.T) {
	named := map[meshfile.Fault]bool{}
	files, err := filepath.Glob(filepath.Join("..", "..", "mesh", "meshfile", "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile(`^(open|mesh|foreign|archive|parts|points|text|head|binary|stl|obj|ply|off|gltf|3mf)\.[a-z0-9-]+$`)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
				if s, err := strconv.Unquote(l.Value); err == nil && code.MatchString(s) {
					named[meshfile.Fault(s)] = true
				}
			}
			return true
		})
	}
	for f := range named {
		if b := brokenFiles[f]; b.says == "" || b.effect == "" {
			t.Errorf("%s has no words", f)
		}
	}
	for f := range brokenFiles {
		if !named[f] {
			t.Errorf("meshfile does not name %s", f)
		}
	}
}

// metricFigure is a figure in a metric unit.
var metricFigure = regexp.MustCompile(`\d[\d.,/+e-]*[  ]?(mm|cm|m|mm²|cm²|mm³|cm³|ml|mL|L|l|litres?|g|kg|N|kN|kPa|MPa|°C|mbar|bar|Torr)\b|\d ?(cm|mm)[²³]|°C|g/cm³`)

// coordinates are those of the file, which is mm for everyone.
var coordinates = regexp.MustCompile(`x -?[\d.]+, y -?[\d.]+(, z -?[\d.]+)? mm`)

// A force has kilograms beside its newtons, and no figure an exponent.
var (
	bareForce = regexp.MustCompile(`\d[  ]?k?N(\b|$)`)
	exponent  = regexp.MustCompile(`\d[eE][+-]?\d`)
)

// misprinted finds a force without its kilograms, one in pounds of force, or a
// figure in scientific form, in metric words.
func misprinted(s string) string {
	for _, at := range bareForce.FindAllStringIndex(s, -1) {
		if !strings.HasPrefix(s[at[1]:], " (") {
			return s[at[0]:at[1]] + " without kilograms"
		}
	}
	if strings.Contains(s, "lbf") {
		return "lbf"
	}
	return exponent.FindString(s)
}

// metricIn finds a metric figure in a US sentence; grams may stand beside
// ounces.
func metricIn(s string) string {
	return metricFigure.FindString(coordinates.ReplaceAllString(s, ""))
}

// CODES.md shows every code as a user reads it.
func TestCodes(t *testing.T) {
	var b strings.Builder
	b.WriteString("# Every finding as a user reads it\n\nMade by `go test ./render/words -update` from example facts. First in metric units, then in US units where\nthe words differ. Three parts: what is so, what it does, what to do.\n")
	tell := func(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }
	var codes []finding.Code
	for c := range allFindings {
		codes = append(codes, c)
	}
	slices.Sort(codes)
	for _, c := range codes {
		fmt.Fprintf(&b, "\n## %s\n", c)
		for _, facts := range exampleFindings[c] {
			f := finding.Finding{Code: c, Facts: facts}
			m, us := Tell(f, unit.Metric), Tell(f, unit.US)
			if m.Summary == "" || m.Effect == "" || m.Hint == "" {
				t.Errorf("%s: not all three parts: %+v", c, m)
				continue
			}
			b.WriteString("\n")
			for i, part := range [][2]string{{m.Summary, us.Summary}, {m.Effect, us.Effect}, {m.Hint, us.Hint}} {
				if x := misprinted(part[0]) + misprinted(part[1]); x != "" {
					t.Errorf("%s says %q: %s", c, x, part[0])
				}
				if x := metricIn(part[1]); x != "" {
					t.Errorf("%s in US units says %q: %s", c, x, part[1])
				}
				fmt.Fprintf(&b, "%d. %s\n", i+1, tell(part[0]))
				if part[0] != part[1] {
					fmt.Fprintf(&b, "   *US:* %s\n", tell(part[1]))
				}
			}
		}
	}
	b.WriteString("\n## Remarks\n\n")
	var lines []string
	for _, r := range exampleRemarks {
		m, us := Say(remark(r), unit.Metric), Say(remark(r), unit.US)
		// A shop file's keys name their unit.
		if _, shop := r.(estimate.ShopFault); !shop && metricIn(us) != "" {
			t.Errorf("%T in US units says %q: %s", r, metricIn(us), us)
		}
		if x := misprinted(m) + misprinted(us); x != "" {
			t.Errorf("%T says %q: %s", r, x, m)
		}
		line := fmt.Sprintf("- `%T`: %s\n", r, m)
		if us != m {
			line += "  *US:* " + us + "\n"
		}
		lines = append(lines, line)
	}
	slices.Sort(lines)
	b.WriteString(strings.Join(lines, ""))
	b.WriteString("\n## Files that are not read\n\n")
	plurals := regexp.MustCompile(`\{[^}]* s\}`)
	facts := regexp.MustCompile(`\{[^}]*\}`)
	for _, f := range slices.Sorted(maps.Keys(brokenFiles)) {
		fmt.Fprintf(&b, "- `%s`: %s\n", f, facts.ReplaceAllString(plurals.ReplaceAllString(brokenFiles[f].says, "s"), "…"))
	}

	if *update {
		if err := os.WriteFile("CODES.md", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("CODES.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != b.String() {
		t.Error("CODES.md is not what the words say now: go test ./render/words -update, and read the difference")
	}
}
