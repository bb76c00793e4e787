package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// sources calls use for each file of the module with its package's folder and
// its own name; test files only where tests is set.
func sources(t *testing.T, tests bool, mode parser.Mode, use func(pkg, file string, f *ast.File)) {
	t.Helper()
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && p != root && (strings.HasPrefix(name, ".") && name != ".." || name == "testdata") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") != tests {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, nil, mode)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(p))
		if err != nil {
			return err
		}
		use(filepath.ToSlash(rel), name, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// imports maps each package folder of the module to what its files import;
// test files only where tests is set.
func imports(t *testing.T, tests bool) map[string]map[string]bool {
	t.Helper()
	out := map[string]map[string]bool{}
	sources(t, tests, parser.ImportsOnly, func(pkg, _ string, f *ast.File) {
		if out[pkg] == nil {
			out[pkg] = map[string]bool{}
		}
		for _, i := range f.Imports {
			s, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			out[pkg][s] = true
		}
	})
	if len(out) < 5 {
		t.Fatalf("only %d packages found", len(out))
	}
	return out
}

// Each third-party module is imported by one package, so that replacing it
// touches one place; gltf by two that have nothing else in common.
func TestModulesStayInTheirPackage(t *testing.T) {
	allowed := map[string]string{
		"github.com/qmuntal/gltf":    "mesh/meshfile render/picture", // both write it
		"github.com/hschendel/stl":   "mesh/meshfile",
		"github.com/fogleman/fauxgl": "render/picture",
		"golang.org/x/image":         "render/typeface",
		"codeberg.org/go-pdf/fpdf":   "render",
		"github.com/BurntSushi/toml": "estimate/conf",
		"github.com/spf13/cobra":     "cmd/moldtally",
		"github.com/spf13/pflag":     "cmd/moldtally",
		"golang.org/x/term":          "cmd/moldtally",
		"golang.org/x/text":          "estimate/money",
	}
	for pkg, is := range imports(t, false) {
		for i := range is {
			if first, _, _ := strings.Cut(i, "/"); !strings.Contains(first, ".") {
				continue
			}
			ok := false
			for mod, home := range allowed {
				if i == mod || strings.HasPrefix(i, mod+"/") {
					ok = slices.Contains(strings.Fields(home), pkg)
				}
			}
			if !ok {
				t.Errorf("%s imports %s", pkg, i)
			}
		}
	}
}

// What runs in parallel goes through mesh/par, but for what the command line
// draws and reads while the engine works.
func TestGoStatementsStayInPar(t *testing.T) {
	sources(t, false, parser.SkipObjectResolution, func(pkg, file string, f *ast.File) {
		if pkg == "mesh/par" || pkg == "cmd/moldtally" {
			return
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s/%s has a go statement", pkg, file)
			case *ast.SelectorExpr:
				if n.Sel.Name == "WaitGroup" {
					t.Errorf("%s/%s has a WaitGroup", pkg, file)
				}
			}
			return true
		})
	})
}

// Nothing finds a method by its name, as templates do: the linker would keep
// every exported method.
func TestNoMethodsByName(t *testing.T) {
	sources(t, false, parser.SkipObjectResolution, func(pkg, file string, f *ast.File) {
		for _, i := range f.Imports {
			if strings.HasSuffix(i.Path.Value, `/template"`) {
				t.Errorf("%s/%s imports %s", pkg, file, i.Path.Value)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok && slices.Contains([]string{"MethodByName", "SetVersionTemplate",
				"SetHelpTemplate", "SetUsageTemplate", "AddTemplateFunc", "AddTemplateFuncs"}, s.Sel.Name) {
				t.Errorf("%s/%s calls %s", pkg, file, s.Sel.Name)
			}
			return true
		})
	})
}

// Data flows one way: a package imports only what stands before it.
func TestImportsRunOneWay(t *testing.T) {
	rank := map[string]int{
		"mesh/unit": 0, "mesh/finding": 0, "mesh/par": 0, "mesh/disjoint": 0, "mesh/grid": 1, "mesh": 1, "mesh/section": 2, "mesh/shape": 2, "mesh/meshfile": 2, "mesh/dexel": 2, "mesh/arrange": 2,
		"mesh/shape/real": 3, "mesh/solid": 3, "mesh/solid/solidtest": 4, "mesh/demold/scene": 4, "mesh/demold/standin": 5, "mesh/demold/parting": 5, "mesh/demold/strip": 5,
		"mesh/demold/tunnel": 6, "mesh/demold/thin": 6, "mesh/demold/air": 6, "mesh/demold/undercut": 6, "mesh/demold/pose": 7, "mesh/demold/seam": 7, "mesh/demold/loose": 7,
		"mesh/demold": 8, "boxfit/nest": 8, "boxfit/pack": 8, "boxfit": 9, "boxfit/printed": 10, "estimate/conf": 9, "estimate/record": 9,
		"estimate/material": 10, "estimate/rubber": 11, "estimate/casting": 12, "estimate/money": 10, "estimate/schedule": 12, "estimate/labor": 12,
		"render/figure": 1, "render/typeface": 1, "estimate": 13, "render/words": 14, "render/drawing": 15, "render": 16, "render/picture": 17, "render/live": 17, ".": 0, "cmd/moldtally": 18,
	}
	for pkg, is := range imports(t, false) {
		r, ok := rank[pkg]
		if !ok {
			t.Errorf("%s has no place in the order of packages", pkg)
			continue
		}
		for i := range is {
			q, ok := strings.CutPrefix(i, "moldtally/")
			if !ok {
				continue
			}
			if s, ok := rank[q]; !ok || s >= r {
				t.Errorf("%s imports %s, which does not stand before it", pkg, q)
			}
		}
	}
}
