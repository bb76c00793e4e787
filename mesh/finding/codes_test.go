package finding_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"moldtally/mesh/finding"
)

// Every code stands in the table once and is used by some stage.
func TestEveryCodeIsUsed(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	code := map[string]string{} // name to value
	value := map[string]string{}
	for _, d := range f.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			lit := v.Values[0].(*ast.BasicLit).Value
			if other := value[lit]; other != "" {
				t.Errorf("%s and %s are both %s", other, v.Names[0].Name, lit)
			}
			code[v.Names[0].Name] = lit
			value[lit] = v.Names[0].Name
			if !strings.Contains(lit, ".") || strings.ToLower(lit) != lit {
				t.Errorf("code %s is not written stage.what in lower case", lit)
			}
		}
	}
	used := map[string]bool{}
	root := filepath.Join("..", "..")
	err = filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if strings.HasSuffix(p, ".go") && !strings.HasSuffix(p, "_test.go") {
			raw, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			for name := range code {
				if strings.Contains(string(raw), "finding."+name) {
					used[name] = true
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range code {
		if !used[name] {
			t.Errorf("no stage finds %s", name)
		}
	}
}

func TestSortPutsTheWorstFirst(t *testing.T) {
	l := finding.List{{Code: "b.x", Severity: finding.Note}, {Code: "c.x", Severity: finding.Stop}, {Code: "a.x", Severity: finding.Stop}, {Code: "z.x", Severity: finding.Caution}}
	l.Sort()
	var got []string
	for _, f := range l {
		got = append(got, string(f.Code))
	}
	if s := strings.Join(got, " "); s != "a.x c.x z.x b.x" {
		t.Errorf("got %s, want a.x c.x z.x b.x", s)
	}
	if w, ok := l.Worst(); !ok || w != finding.Stop {
		t.Errorf("worst is %v, want stop", w)
	}
}
