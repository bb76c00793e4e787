package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"moldtally/mesh/meshfile"
	"moldtally/mesh/shape"
)

// served is a server for a test, and how to ask it as its page does.
type served struct {
	*server
	t    *testing.T
	base string
}

func serveForTest(t *testing.T, other bool) *served {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	v, err := newServer(context.Background(), ln.Addr().(*net.TCPAddr), other, "")
	if err != nil {
		t.Fatal(err)
	}
	hs := &http.Server{Handler: v, ErrorLog: nobody()}
	go hs.Serve(ln)
	t.Cleanup(func() { hs.Close(); v.close() })
	return &served{v, t, v.address()}
}

// ask makes a request as the page does, but for what head says, and returns its status
// and body.
func (v *served) ask(method, path, body string, head ...string) (int, string) {
	v.t.Helper()
	r, err := http.NewRequest(method, v.base+path, strings.NewReader(body))
	if err != nil {
		v.t.Fatal(err)
	}
	if method != http.MethodGet {
		r.Header.Set("Origin", "http://"+r.URL.Host)
		r.Header.Set("Content-Type", "application/octet-stream")
	}
	for i := 0; i < len(head); i += 2 {
		if r.Header.Set(head[i], head[i+1]); head[i] == "Host" {
			r.Host = head[i+1]
		}
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return res.StatusCode, string(data)
}

// put puts a pattern on the bench and returns its name there.
func (v *served) put(data []byte, name string) string {
	v.t.Helper()
	status, body := v.ask("POST", "patterns?name="+name, string(data))
	var p shelved
	if err := json.Unmarshal([]byte(body), &p); err != nil || status != http.StatusCreated {
		v.t.Fatalf("%d %s", status, body)
	}
	return p.ID
}

// plan asks for a plan, waits for it and returns where it is.
func (v *served) plan(pattern string, flags map[string]string) string {
	v.t.Helper()
	q, _ := json.Marshal(map[string]any{"seat": "a test", "patterns": []string{pattern}, "flags": flags})
	status, body := v.ask("POST", "plans", string(q), "Content-Type", "application/json")
	var made struct{ ID string }
	if err := json.Unmarshal([]byte(body), &made); err != nil || status != http.StatusAccepted {
		v.t.Fatalf("%d %s", status, body)
	}
	status, events := v.ask("GET", "plans/"+made.ID+"/events", "")
	if status != http.StatusOK || !strings.HasSuffix(strings.TrimSpace(events), "event: done\ndata: null") {
		v.t.Fatalf("%d %s", status, events)
	}
	return made.ID
}

// blockFile is a small pattern on disk, and its bytes.
func blockFile(t *testing.T) (name string, data []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := meshfile.Write(&b, "stl", shape.Frustum(20, 14, 25, 8)); err != nil {
		t.Fatal(err)
	}
	name = filepath.Join(t.TempDir(), "block.stl")
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return name, b.Bytes()
}

// The page's plan is the command line's, to the byte, whatever was asked before it; and
// its files are there.
func TestServePlansAsTheCommandLine(t *testing.T) {
	name, data := blockFile(t)
	v := serveForTest(t, false)
	id := v.put(data, "block.stl")
	flags := map[string]string{"up": "+z", "resolution": "4mm", "mold": "block"}
	v.plan(id, flags)
	flags["wall"], flags["fixed"] = "18mm", ""
	plan := v.plan(id, flags)
	if again := v.plan(id, flags); again != plan {
		t.Error("the same plan was made twice")
	}
	status, got := v.ask("GET", "plans/"+plan+"/files/plan.json", "")
	var out, errs bytes.Buffer
	if code := run([]string{"plan", name, "--up", "+z", "--resolution", "4mm", "--mold", "block", "--wall", "18mm", "--fixed", "--json"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	if got != out.String() {
		t.Errorf("%d: the page gives\n%.700s\nthe command line\n%.700s", status, got, out.String())
	}
	status, body := v.ask("GET", "plans/"+plan+"/results", "")
	var r struct{ Answer, Ways, Command string }
	if err := json.Unmarshal([]byte(body), &r); err != nil || status != http.StatusOK {
		t.Fatalf("%d %.300s", status, body)
	}
	if want := "moldtally plan block.stl --up +z --mold block --resolution 4mm --wall 18mm --fixed"; !strings.Contains(r.Command, want) {
		t.Errorf("the command line is %s, want %s", r.Command, want)
	}
	if !strings.Contains(r.Answer, "class=\"weights\"") || !strings.Contains(r.Ways, "data-mold=\"two-part\"") || strings.Contains(r.Answer, " --") {
		t.Errorf("the answer is\n%s\n%s", r.Answer, r.Ways)
	}
	for file, begins := range map[string]string{"model.glb": "glTF", "drawing.svg": "<svg", "container.stl": ""} {
		if status, body := v.ask("GET", "plans/"+plan+"/files/"+file, ""); status != http.StatusOK || !strings.Contains(body[:min(200, len(body))], begins) {
			t.Errorf("%s: %d %.200q", file, status, body)
		}
	}
}

// What another page, another name of this machine or a script with bad manners asks is
// refused, in words, and stops nobody.
func TestServeRefuses(t *testing.T) {
	v := serveForTest(t, false)
	const form = "multipart/form-data; boundary=x"
	asks := `{"seat":"","patterns":["x"],"flags":{}}`
	id := v.put([]byte("solid\nendsolid\n"), "..%2F..%5C..%2Fetc%2Fpass%00wd.stl")
	of := func(flags string) string { return `{"seat":"s","patterns":["` + id + `"],"flags":` + flags + `}` }
	for _, c := range []struct {
		what, method, path, body string
		head                     []string
		want                     int
	}{
		{"the page", "GET", "", "", nil, 200},
		{"another name of this machine", "GET", "", "", []string{"Host", "molds.example"}, 403},
		{"another port", "GET", "", "", []string{"Host", "127.0.0.1:1"}, 403},
		{"no port", "GET", "", "", []string{"Host", "127.0.0.1"}, 403},
		{"a post of another page", "POST", "patterns?name=a.stl", "solid", []string{"Origin", "http://molds.example"}, 403},
		{"a post of a page of nobody", "POST", "patterns?name=a.stl", "solid", []string{"Origin", "null"}, 403},
		{"a post without an origin", "POST", "patterns?name=a.stl", "solid", []string{"Origin", ""}, 403},
		{"a picture in another page", "GET", "", "", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a form", "POST", "patterns?name=a.stl", "--x\r\nContent-Disposition: form-da", []string{"Content-Type", form}, 415},
		{"a plan by a form", "POST", "plans", asks, []string{"Content-Type", "text/plain"}, 415},
		{"an empty file", "POST", "patterns?name=a.stl", "", nil, 422},
		{"a way up the folders", "GET", "assets/..%2f..%2flive.go", "", nil, 404},
		{"a way up from a sample", "POST", "samples/..%2fREADME.md", "", nil, 404},
		{"a method that is not taken", "PUT", "plans", "", nil, 405},
		{"half a question", "POST", "plans", `{"seat":`, []string{"Content-Type", "application/json"}, 400},
		{"a question too long", "POST", "plans", `{"seat":"` + strings.Repeat("x", mostAsked) + `"}`, []string{"Content-Type", "application/json"}, 400},
		{"a pattern that is not there", "POST", "plans", asks, []string{"Content-Type", "application/json"}, 410},
		{"a file to write", "POST", "plans", of(`{"pdf":"/etc/passwd"}`), []string{"Content-Type", "application/json"}, 422},
		{"a shop file to read", "POST", "plans", of(`{"shop":"/etc/passwd"}`), []string{"Content-Type", "application/json"}, 422},
		{"a value that cannot be meant", "POST", "plans", of(`{"wall":"soft"}`), []string{"Content-Type", "application/json"}, 422},
		{"a plan that is not there", "GET", "plans/x/results", "", nil, 410},
	} {
		status, body := v.ask(c.method, c.path, c.body, c.head...)
		if status != c.want {
			t.Errorf("%s: %d, want %d: %.200s", c.what, status, c.want, body)
		}
		if c.want == 422 && strings.Contains(body, "--wall") {
			t.Errorf("%s: %s", c.what, body)
		}
	}
	if p := v.shelf.get(id); p.name != "passwd.stl" || filepath.Dir(p.trunk) != v.dir {
		t.Errorf("a name that goes up the folders became %q at %s", p.name, p.trunk)
	}
	if status, body := v.ask("POST", "plans", of("{}"), "Content-Type", "application/json"); status != 202 {
		t.Errorf("a file without a mesh: %d %s", status, body)
	}
	res, err := http.Get(v.base)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if p := res.Header.Get("Content-Security-Policy"); strings.Contains(p, "unsafe") || !strings.Contains(p, "script-src 'self'") {
		t.Errorf("the policy is %q", p)
	}
}

// A file that is too large is refused before it is read, one that comes too slowly is
// given up, and another is taken after both.
func TestServeLargeAndSlow(t *testing.T) {
	v := serveForTest(t, false)
	v.stall = 50 * time.Millisecond
	host := strings.TrimSuffix(strings.TrimPrefix(v.base, "http://"), "/")
	for _, c := range []struct {
		length int64
		want   string
	}{{5 << 30, "413"}, {1000, "408"}} {
		conn, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(conn, "POST /patterns?name=a.stl HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Type: application/octet-stream\r\nContent-Length: %d\r\n\r\nsolid", host, host, c.length)
		conn.SetReadDeadline(time.Now().Add(10 * time.Second))
		line, err := bufio.NewReader(conn).ReadString('\n')
		if err != nil || !strings.Contains(line, c.want) {
			t.Errorf("%d bytes are answered with %q (%v)", c.length, line, err)
		}
		conn.Close()
	}
	v.put([]byte("solid"), "a.stl")
	if list, err := os.ReadDir(v.dir); err != nil || len(list) != 1 {
		t.Errorf("%d files lie in the folder (%v)", len(list), err)
	}
}

// Of fifty files that come at once none is lost.
func TestServeManyAtOnce(t *testing.T) {
	v := serveForTest(t, false)
	var all sync.WaitGroup
	for i := range 50 {
		all.Go(func() { v.put(bytes.Repeat([]byte{byte(i)}, 1<<16), fmt.Sprintf("%d.stl", i)) })
	}
	all.Wait()
	if n := len(v.patterns); n != 50 {
		t.Errorf("%d patterns are there", n)
	}
}

// Where other machines are answered, the address has a word in it, and nothing is had
// without it.
func TestServeOthersByAWord(t *testing.T) {
	v := serveForTest(t, true)
	if status, _ := v.ask("GET", "", ""); status != http.StatusOK {
		t.Errorf("with the word: %d", status)
	}
	root := v.base[:strings.Index(v.base[7:], "/")+8]
	for _, path := range []string{"", "assets/page.js", strings.Repeat("0", 32) + "/"} {
		res, err := http.Get(root + path)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusNotFound {
			t.Errorf("without the word %q is answered with %d", path, res.StatusCode)
		}
	}
}

// The server says where its page is, and ends on Ctrl-C with nothing left behind.
func TestServeStops(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	ctx, stop := context.WithCancel(context.Background())
	r, w := io.Pipe()
	ended := make(chan int)
	go func() {
		ended <- runContext(ctx, []string{"serve", "--no-open", "--quiet"}, strings.NewReader(""), w, io.Discard)
	}()
	line, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	v := &served{t: t, base: strings.TrimSpace(line)}
	v.put([]byte("solid"), "a.stl")
	stop()
	if code := <-ended; code != exitInterrupted {
		t.Errorf("exit %d", code)
	}
	if left, err := os.ReadDir(os.Getenv("TMPDIR")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v (%v)", left, err)
	}
}
