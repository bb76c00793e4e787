package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// wordedElsewhere are files below this package that write for a reader all the
// same, with the reason. A name that ends in a slash is a folder.
var wordedElsewhere = map[string]string{
	"mesh/meshfile/write.go":  "writes files",
	"mesh/shape/":             "makes bodies for tests, and names them",
	"mesh/unit/":              "reads and writes quantities for everyone; knows no sentence",
	"estimate/money/money.go": "writes an amount's exact decimals, for JSON as well",
}

var (
	flagNamed = regexp.MustCompile(`(^|[^-!a-z])--[a-z][a-z0-9-]+`)
	verb      = regexp.MustCompile(`%[-+# 0]*[\d*]*(\.[\d*]+)?[dfgFGeE]`)
)

// Below this package no flag is named and no number is written for a reader:
// but for errors, which are wrapped and worded here.
func TestWordsAreHere(t *testing.T) {
	root := filepath.Join("..", "..")
	for _, top := range []string{"mesh", "boxfit", "estimate"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
				return err
			}
			rel := filepath.ToSlash(strings.TrimPrefix(p, root+string(filepath.Separator)))
			for name := range wordedElsewhere {
				if rel == name || strings.HasSuffix(name, "/") && strings.HasPrefix(rel, name) {
					return nil
				}
			}
			raw, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, p, raw, 0)
			if err != nil {
				return err
			}
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.FuncDecl:
					// The name of a thing, or what a programmer sees of an error.
					if n.Name.Name == "Error" || n.Name.Name == "String" {
						return false
					}
				case *ast.CallExpr:
					if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Errorf" {
						return false
					}
				case *ast.BasicLit:
					if n.Kind != token.STRING {
						return true
					}
					s, err := strconv.Unquote(n.Value)
					if err != nil {
						t.Fatal(err)
					}
					if x := flagNamed.FindString(s); x != "" {
						t.Errorf("%s names the flag %s: %q", fset.Position(n.Pos()), strings.TrimSpace(x), s)
					}
					if x := verb.FindString(s); x != "" {
						t.Errorf("%s writes a number (%s): %q", fset.Position(n.Pos()), x, s)
					}
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
