package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
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
