package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"moldtally/mesh/meshfile"
	"moldtally/mesh/shape"
)

var updateReadme = flag.Bool("update-readme", false, "write the run's first lines into the README")

// The run that the README shows is the run that a reader gets.
func TestReadmeShowsARealRun(t *testing.T) {
	name := filepath.Join("..", "..", "README.md")
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	readme := strings.ReplaceAll(string(raw), "\r\n", "\n")
	const open, end = "```text\n", "\n```\n"
	i := strings.Index(readme, open)
	if i < 0 {
		t.Fatal("the README shows no run")
	}
	i += len(open)
	j := i + strings.Index(readme[i:], end)
	var out, errs bytes.Buffer
	if code := run([]string{"plan", filepath.Join("..", "..", "testdata", "finial.stl")}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	want := strings.TrimRight(out.String(), "\n ")
	if *updateReadme {
		if err := os.WriteFile(name, []byte(readme[:i]+want+readme[j:]), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got := readme[i:j]; got != want {
		t.Errorf("the README shows\n%s\nthe run is\n%s", got, want)
	}
}

// The README's quote, followed to the letter in an empty folder but for a client's
// file, ends in a quote with a price.
func TestReadmeQuotes(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, l := range strings.Split(string(raw), "\n") {
		if c, ok := strings.CutPrefix(strings.TrimSpace(l), "$ moldtally "); ok && (strings.HasPrefix(c, "shop init") || strings.HasPrefix(c, "quote client.stl")) {
			lines = append(lines, c)
		}
	}
	if len(lines) != 2 {
		t.Fatalf("the README quotes by %q", lines)
	}
	t.Chdir(t.TempDir())
	for _, v := range []string{"HOME", "XDG_CONFIG_HOME", "AppData", "USERPROFILE"} {
		t.Setenv(v, t.TempDir())
	}
	var b bytes.Buffer
	if err := meshfile.Write(&b, "stl", shape.Box(40, 30, 20)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("client.stl", b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	for _, l := range lines {
		out.Reset()
		if code := run(strings.Fields(l), strings.NewReader(""), &out, &errs); code != 0 {
			t.Fatalf("%s: exit %d: %s", l, code, errs.String())
		}
	}
	told := out.String()
	for _, want := range []string{"DRAFT", "Prices are the examples", "2 molds, all of them, once", "  Castings in resin, beside the mold", "EUR"} {
		if !strings.Contains(told, want) {
			t.Errorf("no %q in\n%s", want, told)
		}
	}
	if strings.Contains(told, "not priced") {
		t.Errorf("something has no price:\n%s", told)
	}
	if _, err := os.Stat("quote.pdf"); err != nil {
		t.Error(err)
	}
}
