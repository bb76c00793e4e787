package main

import (
	"bufio"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"
)

// tab is a page in a headless browser that is driven over a pipe (Chrome DevTools
// Protocol, recalled): messages are JSON, each ended by a zero.
type tab struct {
	t       *testing.T
	in      io.WriteCloser
	out     *bufio.Reader
	session string
	n       int
	errors  []string // what the page complained of
}

// openTab opens an address in a browser, or skips the test where there is none.
func openTab(t *testing.T, address string) *tab {
	t.Helper()
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("NOT CHECKED: no chromium here, so nobody looks whether the page works (Debian's package chromium)")
	}
	if testing.Short() {
		t.Skip("starts a browser")
	}
	// Its own ends are 3 and 4.
	theirs, in, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	out, answers, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--remote-debugging-pipe",
		"--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1", "--user-data-dir="+t.TempDir(), "--window-size=1200,900")
	c.ExtraFiles = []*os.File{theirs, answers}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	theirs.Close()
	answers.Close()
	b := &tab{t: t, in: in, out: bufio.NewReader(out)}
	t.Cleanup(func() {
		b.send("Browser.close", nil)
		in.Close()
		c.Wait()
		out.Close()
	})
	var made struct{ TargetID, SessionID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &made)
	b.call("Target.attachToTarget", map[string]any{"targetId": made.TargetID, "flatten": true}, &made)
	b.session = made.SessionID
	b.call("Runtime.enable", nil, nil)
	b.call("Log.enable", nil, nil)
	b.call("Page.navigate", map[string]any{"url": address}, nil)
	b.until(`document.readyState === "complete" && document.title === "moldtally"`)
	return b
}

func (b *tab) send(method string, params any) {
	b.n++
	m := map[string]any{"id": b.n, "method": method}
	if params != nil {
		m["params"] = params
	}
	if b.session != "" && !strings.HasPrefix(method, "Browser.") {
		m["sessionId"] = b.session
	}
	data, err := json.Marshal(m)
	if err == nil {
		_, err = b.in.Write(append(data, 0))
	}
	if err != nil {
		b.t.Log(err)
	}
}

// call asks the browser for something and reads its answer; what the page complains of
// meanwhile is kept.
func (b *tab) call(method string, params, result any) {
	b.t.Helper()
	b.send(method, params)
	for {
		data, err := b.out.ReadBytes(0)
		if err != nil {
			b.t.Fatalf("the browser went away at %s: %v", method, err)
		}
		var m struct {
			ID             int
			Method         string
			Params, Result json.RawMessage
			Error          *struct{ Message string }
		}
		if err := json.Unmarshal(bytes.TrimSuffix(data, []byte{0}), &m); err != nil {
			b.t.Fatal(err)
		}
		switch {
		case m.Method == "Runtime.exceptionThrown", m.Method == "Log.entryAdded" && bytes.Contains(m.Params, []byte(`"level":"error"`)):
			b.errors = append(b.errors, string(m.Params[:min(600, len(m.Params))]))
		case m.ID != b.n:
		case m.Error != nil:
			b.t.Fatalf("%s: %s", method, m.Error.Message)
		default:
			if result != nil {
				if err := json.Unmarshal(m.Result, result); err != nil {
					b.t.Fatal(err)
				}
			}
			return
		}
	}
}

// eval runs a script on the page and returns what comes of it as text.
func (b *tab) eval(script string) string {
	b.t.Helper()
	var r struct {
		Result           struct{ Value any }
		ExceptionDetails *struct{ Exception struct{ Description string } }
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true, "returnByValue": true, "userGesture": true}, &r)
	if r.ExceptionDetails != nil {
		b.t.Fatalf("%s: %s", script, r.ExceptionDetails.Exception.Description)
	}
	return fmt.Sprint(r.Result.Value)
}

// until waits until something is so on the page.
func (b *tab) until(so string) {
	b.t.Helper()
	for end := time.Now().Add(2 * time.Minute); b.eval(so) != "true"; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("never: %s\n%s\n%s", so, b.eval("document.body.innerText.slice(0, 2000)"), b.errors)
		}
	}
}

// A mold maker drops a file, turns it, changes the wall, chooses a blanket, and reads
// the weights of the command line; then takes the bench sheet along. The page complains
// of nothing, its policy least of all.
func TestServeInABrowser(t *testing.T) {
	v := serveForTest(t, false)
	b := openTab(t, v.base)
	name, data := blockFile(t)
	const settled = ` && !document.querySelector("#bench").matches(".stale") && document.querySelector("#trouble").hidden`
	say := func(flag, value string) {
		b.eval(fmt.Sprintf(`(() => { const f = document.querySelector('[data-flag="%s"]'); f.value = %q; f.dispatchEvent(new Event("input", { bubbles: true })); })()`, flag, value))
	}
	say("resolution", "4mm")
	b.eval(fmt.Sprintf(`(() => {
		const at = new DataTransfer(), bytes = Uint8Array.from(atob(%q), (c) => c.charCodeAt(0));
		at.items.add(new File([bytes], "block.stl"));
		dispatchEvent(new DragEvent("drop", { dataTransfer: at, cancelable: true }));
	})()`, base64.StdEncoding.EncodeToString(data)))
	b.until(`document.querySelector("#answer h2")?.textContent === "block.stl"` + settled)
	line := func(has string) {
		t.Helper()
		b.until(fmt.Sprintf(`!!document.querySelector("#line")?.textContent.includes(%q)`, has) + settled)
	}
	say("up", "-z")
	line("--up -z")
	say("wall", "18mm")
	line("--wall 18mm")
	b.eval(`document.querySelector('[data-mold="blanket"]').click()`)
	line("--mold blanket")
	var out, errs bytes.Buffer
	if code := run([]string{"plan", name, "--up", "-z", "--mold", "blanket", "--wall", "18mm", "--resolution", "4mm", "--json"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	weight := regexp.MustCompile(`"part_a_g": (\d+)`).FindStringSubmatch(out.String())
	if weight == nil {
		t.Fatal("the plan has no weight")
	}
	if got := strings.ReplaceAll(b.eval(`document.querySelector(".weights b").textContent`), "\u00a0", " "); got != weight[1]+" g" {
		t.Errorf("the page says %q, the command line %s g", got, weight[1])
	}
	if got := b.eval(`document.querySelector(".cards [aria-pressed=true]").dataset.mold`); got != "blanket" {
		t.Errorf("the way that is marked is %s", got)
	}
	if got := b.eval(`fetch(document.querySelector('.papers a[href$="bench.pdf"]').href).then((r) => r.text()).then((s) => s.slice(0, 5))`); got != "%PDF-" {
		t.Errorf("the bench sheet begins %q", got)
	}
	b.eval(`(() => { const f = document.querySelector("#wall"); f.value = 9; f.dispatchEvent(new Event("input", { bubbles: true })); })()`)
	line("--coat 9mm")
	// What cannot be meant is told by the names of the page, and the figures stay grey.
	say("wall", "soft")
	b.until(`!document.querySelector("#trouble").hidden && document.querySelector("#bench").matches(".stale")`)
	if got := b.eval(`document.querySelector("#trouble").textContent`); !strings.Contains(got, "Least rubber at the sides") {
		t.Errorf("the trouble is told as %q", got)
	}
	for _, e := range b.errors {
		if !strings.Contains(e, `422`) { // the browser logs every refusal
			t.Errorf("the page complains: %s", e)
		}
	}
}
