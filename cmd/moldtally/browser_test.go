package main

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
)

// A browser without scripts shows the page of a plan, asks nobody for anything but the
// page itself, and prints it as the paper is: the same words on the same pages.
func TestPageInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("NOT CHECKED: no chromium here, so nothing says that the page prints and asks for nothing (Debian's package chromium)")
	}
	if testing.Short() {
		t.Skip("starts a browser")
	}
	dir := t.TempDir()
	page, paper := filepath.Join(dir, "plan.html"), filepath.Join(dir, "plan.pdf")
	var out, errs bytes.Buffer
	if code := run([]string{"plan", filepath.Join("..", "..", "testdata", "arch.stl"), "--resolution", "2mm", "--html", page, "--pdf", paper, "--json"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	weight := regexp.MustCompile(`"part_a_g": (\d+)`).FindStringSubmatch(out.String())
	if weight == nil {
		t.Fatal("the plan has no weight")
	}
	var mu sync.Mutex
	var asked []string
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		asked = append(asked, r.URL.Path)
		mu.Unlock()
		if r.URL.Path != "/plan.html" {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Security-Policy", "script-src 'none'")
		http.ServeFile(w, r, page)
	}))
	defer server.Close()
	shot, printed := filepath.Join(dir, "shot.png"), filepath.Join(dir, "printed.pdf")
	for _, what := range []string{"--screenshot=" + shot, "--print-to-pdf=" + printed} {
		c := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-background-networking",
			"--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
			"--user-data-dir="+filepath.Join(dir, "profile"), "--window-size=1000,1400", "--no-pdf-header-footer", what, server.URL+"/plan.html")
		if text, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", what, err, text)
		}
	}
	if len(asked) < 2 {
		t.Errorf("the browser never came: %q", asked)
	}
	for _, p := range asked {
		if p != "/plan.html" && p != "/favicon.ico" {
			t.Errorf("the page asks for %s", p)
		}
	}
	if st, err := os.Stat(shot); err != nil || st.Size() < 10_000 {
		t.Errorf("no picture of the page: %v", err)
	}
	text, err := pagesOf(printed)
	if err != nil {
		t.Logf("NOT CHECKED: what is printed (Debian's package poppler-utils): %v", err)
		return
	}
	if want := weight[1] + " g"; !strings.Contains(strings.Join(text, " "), want) {
		t.Errorf("%s is not on the printed page:\n%s", want, text)
	}
	sheet, err := pagesOf(paper)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheet) != len(text) {
		t.Errorf("the page is printed on %d pages, the paper has %d", len(text), len(sheet))
		return
	}
	for i := range sheet {
		if on, off := wordsOf(sheet[i]), wordsOf(text[i]); on != off {
			t.Errorf("page %d is otherwise\non paper: %s\nprinted:  %s", i+1, on, off)
		}
	}
}

// pagesOf is the text of a PDF, page by page.
func pagesOf(file string) ([]string, error) {
	out, err := exec.Command("pdftotext", file, "-").Output()
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f"), err
}

// wordsOf are those of a page, sorted, for columns are read in any order; without what
// paper alone has: boxes, feet, where the rest stands.
func wordsOf(page string) string {
	page = regexp.MustCompile(`page \d+ of \d+|moldtally \S+|\[ *\]|\bcut\b|on the pages after this|below`).ReplaceAllString(strings.NewReplacer("\u00a0", " ", "\u2212", "-").Replace(page), " ")
	list := regexp.MustCompile(`[\pL\pN]+`).FindAllString(strings.ToLower(page), -1)
	slices.Sort(list)
	return strings.Join(list, " ")
}
