package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net"
	"net/http"
	"strconv"
	"time"

	moldtally "moldtally"
	"moldtally/mesh/unit"
	"moldtally/render/live"
)

// server answers the page.
type server struct {
	guard
	*shelf
	*desk
	form live.Form
	shop string
	mux  *http.ServeMux
	end  context.CancelFunc
	// stall is how long the next piece of what is sent may take.
	stall time.Duration
}

// samples are the patterns that come with the program.
var samples = []live.Sample{{Name: "finial.stl", Title: "a newel finial"}, {Name: "heron.ply", Title: "a heron"}, {Name: "tile.obj", Title: "a frieze tile"}}

// Sizes of what is asked, in bytes, and how long an answer may take; judgements.
const (
	mostAsked  = 64 << 10
	answerTime = 5 * time.Minute
	stepTime   = 150 * time.Millisecond // between two looks at how far a plan is
)

// newServer is a server at an address, of which other machines may ask where other is
// set. close must be called in the end.
func newServer(ctx context.Context, addr *net.TCPAddr, other bool, shop string) (*server, error) {
	groups, err := asked(shop)
	if err != nil {
		return nil, err
	}
	v := &server{stall: stallTime, guard: newGuard(addr, other), shop: shop, form: live.Form{Version: version, Groups: groups, Samples: samples, Accept: meshExtensions, Most: mostUpload}}
	if v.shelf, err = newShelf(); err != nil {
		return nil, err
	}
	ctx, v.end = context.WithCancel(ctx)
	v.desk = newDesk(ctx)
	v.mux = http.NewServeMux()
	v.mux.HandleFunc("GET /{$}", v.page)
	v.mux.HandleFunc("GET /assets/{name}", v.asset)
	v.mux.HandleFunc("POST /patterns", v.upload)
	v.mux.HandleFunc("DELETE /patterns/{id}", v.remove)
	v.mux.HandleFunc("POST /samples/{name}", v.sample)
	v.mux.HandleFunc("POST /plans", v.ask)
	v.mux.HandleFunc("GET /plans/{id}/events", v.events)
	v.mux.HandleFunc("GET /plans/{id}/results", v.told)
	v.mux.HandleFunc("GET /plans/{id}/files/{name}", v.paper)
	return v, nil
}

// stop gives up all work, so that no answer waits for it.
func (v *server) stop() { v.end() }

// close gives up all work and removes what was dropped.
func (v *server) close() {
	v.end()
	v.shelf.close()
}

func (v *server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !v.lets(w, r) {
		return
	}
	c := http.NewResponseController(w)
	// What is sent and answered has an end; an upload gets more time as it comes.
	_ = c.SetReadDeadline(time.Now().Add(v.stall))
	_ = c.SetWriteDeadline(time.Now().Add(answerTime))
	v.mux.ServeHTTP(w, r)
}

// refuse answers with what is wrong and what to do.
func refuse(w http.ResponseWriter, status int, summary, hint string) {
	answer(w, status, told{Summary: summary, Hint: hint})
}

// answer answers with a value as JSON.
func answer(w http.ResponseWriter, status int, x any) {
	var b bytes.Buffer
	if err := json.NewEncoder(&b).Encode(x); err != nil {
		status = http.StatusInternalServerError
		b.Reset()
		b.WriteString("{}\n")
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	w.Write(b.Bytes()) // a browser that went away does not read it
}

// failed answers with an error.
func (v *server) failed(w http.ResponseWriter, err error) {
	switch {
	case errors.Is(err, errBusy):
		w.Header().Set("Retry-After", "5")
		refuse(w, http.StatusServiceUnavailable, "there is more to do than is taken at a time", "try again in a moment")
	case errors.Is(err, errTooLarge):
		refuse(w, http.StatusRequestEntityTooLarge, fmt.Sprintf("the file is larger than %d GB", mostUpload>>30), "reduce its triangles, or name it on the command line: moldtally plan FILE")
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		answer(w, http.StatusGone, told{Summary: "this was given up", Gone: true})
	default:
		answer(w, http.StatusUnprocessableEntity, v.tellError(err, unit.Metric))
	}
}

func (v *server) page(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_ = live.WritePage(w, v.form) // a browser that went away does not read it
}

func (v *server) asset(w http.ResponseWriter, r *http.Request) {
	data, kind, ok := live.Asset(r.PathValue("name"))
	if !ok {
		refuse(w, http.StatusNotFound, "there is nothing here", "")
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "private, max-age=3600")
	w.Write(data)
}

// isType reports whether a request's body is of a type, and answers where it is not.
func isType(w http.ResponseWriter, r *http.Request, want string) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err == nil && kind == want {
		return true
	}
	refuse(w, http.StatusUnsupportedMediaType, "this is not what is taken here", "send it as "+want)
	return false
}

// shelved is what the page is told of a pattern.
type shelved struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// upload takes a file as the body of the request, and its name beside it.
func (v *server) upload(w http.ResponseWriter, r *http.Request) {
	if !isType(w, r, "application/octet-stream") {
		return
	}
	if r.ContentLength > mostUpload {
		w.Header().Set("Connection", "close") // its body is not read
		v.failed(w, errTooLarge)
		return
	}
	p, err := v.take(r.Context(), r.URL.Query().Get("name"), r.Body, v.alive(w))
	if err != nil {
		w.Header().Set("Connection", "close")
		if ne := net.Error(nil); errors.As(err, &ne) && ne.Timeout() {
			refuse(w, http.StatusRequestTimeout, "the file came too slowly", "drop it again")
			return
		}
		v.failed(w, err)
		return
	}
	answer(w, http.StatusCreated, shelved{p.id, p.name})
}

func (v *server) sample(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	for _, s := range samples {
		if s.Name != name {
			continue
		}
		data, err := moldtally.Samples.ReadFile("testdata/" + s.Name)
		if err == nil {
			var p *pattern
			if p, err = v.take(r.Context(), s.Name, bytes.NewReader(data), func() {}); err == nil {
				answer(w, http.StatusCreated, shelved{p.id, p.name})
				return
			}
		}
		v.failed(w, err)
		return
	}
	refuse(w, http.StatusNotFound, "there is no such sample", "")
}

func (v *server) remove(w http.ResponseWriter, r *http.Request) {
	if !v.drop(r.PathValue("id")) {
		refuse(w, http.StatusNotFound, "there is no such pattern", "")
		return
	}
	w.WriteHeader(http.StatusNoContent)
}

// ask takes what the page asks for, and answers with where its plan will be.
func (v *server) ask(w http.ResponseWriter, r *http.Request) {
	if !isType(w, r, "application/json") {
		return
	}
	var q struct {
		Seat     string            `json:"seat"`
		Patterns []string          `json:"patterns"`
		Flags    map[string]string `json:"flags"`
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostAsked))
	d.DisallowUnknownFields()
	if err := d.Decode(&q); err != nil || len(q.Patterns) == 0 || len(q.Patterns) > mostPatterns || len(q.Seat) > mostSaid {
		refuse(w, http.StatusBadRequest, "what the page asks cannot be read", "load the page again")
		return
	}
	var patterns []*pattern
	for _, id := range q.Patterns {
		p := v.shelf.get(id)
		if p == nil {
			answer(w, http.StatusGone, told{Summary: "the pattern is no longer on the bench", Hint: "drop its file again", Gone: true})
			return
		}
		patterns = append(patterns, p)
	}
	j, err := v.newJob(q.Seat, patterns, q.Flags)
	if err == nil {
		j, err = v.desk.ask(j)
	}
	if err != nil {
		v.failed(w, err)
		return
	}
	answer(w, http.StatusAccepted, map[string]string{"id": j.id})
}

// find is the job that a request is about; it answers where there is none.
func (v *server) find(w http.ResponseWriter, r *http.Request) *job {
	j := v.desk.get(r.PathValue("id"))
	if j == nil {
		answer(w, http.StatusGone, told{Summary: "this plan is no longer kept", Hint: "ask for it again", Gone: true})
	}
	return j
}

// events tells how far a plan is, and when it is there (server-sent events, HTML Living
// Standard, recalled).
func (v *server) events(w http.ResponseWriter, r *http.Request) {
	j := v.find(w, r)
	if j == nil {
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	c := http.NewResponseController(w)
	tell := func(event string, x any) error {
		data, err := json.Marshal(x)
		if err != nil {
			return err
		}
		_ = c.SetWriteDeadline(time.Now().Add(stallTime))
		if _, err = fmt.Fprintf(w, "event: %s\ndata: %s\n\n", event, data); err != nil {
			return err
		}
		return c.Flush()
	}
	_ = c.SetReadDeadline(time.Time{}) // nothing more is read
	t := time.NewTicker(stepTime)
	defer t.Stop()
	last := step{Stage: "\x00"}
	for {
		if now := j.step(); now != last {
			last = now
			if tell("step", now) != nil {
				return
			}
		}
		select {
		case <-r.Context().Done():
			return
		case <-v.desk.ctx.Done():
			return
		case <-j.done:
			_ = tell("done", v.outcome(j))
			return
		case <-t.C:
		}
	}
}

// step is how far a plan is.
type step struct {
	Waiting bool    `json:"waiting"`
	Stage   string  `json:"stage"`
	Share   float64 `json:"share"` // of the stage, 0 to 1; -1 = not known
}

func (j *job) step() step {
	j.app.mu.Lock()
	defer j.app.mu.Unlock()
	s := step{Waiting: !j.began.Load(), Stage: j.app.stage, Share: -1}
	if j.app.total > 0 {
		s.Share = float64(int(100*min(1, float64(j.app.done)/float64(j.app.total)))) / 100
	}
	return s
}

// outcome is what came of a plan that is over: nothing where it is there.
func (v *server) outcome(j *job) *told {
	if j.err == nil {
		return nil
	}
	t := v.tellError(j.err, j.s.system)
	return &t
}

// ready is the plan that a request is about; it answers where there is none.
func (v *server) ready(w http.ResponseWriter, r *http.Request) *job {
	j := v.find(w, r)
	switch {
	case j == nil:
	case !j.over():
		refuse(w, http.StatusConflict, "the plan is not ready yet", "wait for it")
		return nil
	case j.err != nil:
		answer(w, http.StatusUnprocessableEntity, v.outcome(j))
		return nil
	}
	return j
}

func (v *server) told(w http.ResponseWriter, r *http.Request) {
	if j := v.ready(w, r); j != nil {
		answer(w, http.StatusOK, j.results(v.form.Groups))
	}
}

// paper makes a file of a plan.
func (v *server) paper(w http.ResponseWriter, r *http.Request) {
	j := v.ready(w, r)
	if j == nil {
		return
	}
	for _, x := range papers {
		if x.name != r.PathValue("name") {
			continue
		}
		data, err := j.form(r.Context(), v.desk, x.want)
		if err != nil {
			v.failed(w, err)
			return
		}
		h := w.Header()
		h.Set("Content-Type", x.kind)
		h.Set("Content-Length", strconv.Itoa(len(data)))
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": stem(j.sess.Plan.Pattern.File) + "-" + x.name}))
		io.Copy(w, bytes.NewReader(data))
		return
	}
	refuse(w, http.StatusNotFound, "there is no such file", "")
}
