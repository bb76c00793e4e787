package drawing

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// A drawing that is opened in a browser and printed is at true scale, and a page of paper
// for each of its pages: the line of 100 mm at its foot is as long, and as far down, on
// all of them.
func TestDrawingInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a browser")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("NOT CHECKED: no chromium here, so nothing says that a drawing prints at true scale (Debian's package chromium)")
	}
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("NOT CHECKED: nothing measures what is printed (Debian's package poppler-utils)")
	}
	d := &Drawing{Title: "it.stl", Width: 210, Height: 297, Pages: []Page{{}, {}}}
	for i := range d.Pages {
		d.Pages[i].Lines = []Line{{Points: []Point{{X: 10, Y: 285}, {X: 110, Y: 285}}}}
	}
	dir := t.TempDir()
	file, printed := filepath.Join(dir, "it.svg"), filepath.Join(dir, "it.pdf")
	var b bytes.Buffer
	if err := WriteSVG(&b, d); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []*exec.Cmd{
		exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-background-networking",
			"--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND", "--user-data-dir="+filepath.Join(dir, "profile"),
			"--no-pdf-header-footer", "--print-to-pdf="+printed, "file://"+file),
		exec.Command("pdftoppm", "-r", "254", "-gray", printed, filepath.Join(dir, "page")), // ten dots a millimetre
	} {
		if text, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%v: %v\n%s", c.Args[0], err, text)
		}
	}
	pages, err := filepath.Glob(filepath.Join(dir, "page*.pgm"))
	if err != nil || len(pages) != 2 {
		t.Fatalf("printed on %d pages: %v", len(pages), err)
	}
	for _, p := range pages {
		from, to, down := darkest(t, p)
		// The pen is 0.35 mm wide, and so much beyond each end at most.
		if l := to - from; l < 998 || l > 1005 || from < 96 || from > 102 || down < 2845 || down > 2855 {
			t.Errorf("%s: the line runs from %d to %d, %d down, in tenths of a millimetre", filepath.Base(p), from, to, down)
		}
	}
}

// darkest is the longest dark row of a gray picture: where it begins, ends, and how far
// down it is, in dots.
func darkest(t *testing.T, name string) (from, to, down int) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	head := bytes.SplitN(b, []byte("\n"), 4)
	wide, err := strconv.Atoi(string(bytes.Fields(head[1])[0]))
	if err != nil {
		t.Fatal(err)
	}
	run := 0
	for k, v := range head[3] {
		if k%wide == 0 || v > 140 {
			run = 0
		}
		if v <= 140 {
			if run++; run > to-from {
				from, to, down = k%wide-run+1, k%wide+1, k/wide
			}
		}
	}
	return from, to, down
}
