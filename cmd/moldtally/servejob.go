package main

import (
	"bytes"
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"

	"moldtally/estimate"
	"moldtally/render"
	"moldtally/render/picture"
)

// How much is worked on and kept; judgements of this program. Each job uses all cores
// where it can, so two fill them.
const (
	mostWorking = 2
	mostWaiting = 64
	mostPlans   = 24
)

// job is one plan: asked for, waiting, in work, there or failed.
type job struct {
	id, key  string
	seat     string // the page that asked for it
	patterns []*pattern
	app      *app
	s        *settings
	command  string

	ctx    context.Context
	cancel context.CancelFunc
	done   chan struct{}
	began  atomic.Bool

	// What came of it, once done is closed.
	sess *estimate.Session
	view *render.View
	err  error

	making sync.Mutex // of its forms
	forms  *forms
}

// desk hands out the work.
type desk struct {
	ctx     context.Context
	working chan struct{}
	waiting atomic.Int32

	mu   sync.Mutex
	jobs []*job // the one asked for last is the last
}

func newDesk(ctx context.Context) *desk {
	return &desk{ctx: ctx, working: make(chan struct{}, mostWorking)}
}

// over reports whether a job has come to its end.
func (j *job) over() bool {
	select {
	case <-j.done:
		return true
	default:
		return false
	}
}

// ask takes a job: one that gives the same plan for the same page, where there is such
// a one, else j itself. What the page asked for before is given up.
func (d *desk) ask(j *job) (*job, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	var same *job
	for _, o := range d.jobs {
		switch {
		case o.key == j.key && (o.over() && o.err == nil || !o.over() && o.seat == j.seat && o.ctx.Err() == nil):
			same = o
		case o.seat == j.seat && !o.over():
			o.cancel()
		}
	}
	if same != nil {
		i := slices.Index(d.jobs, same)
		d.jobs = append(slices.Delete(d.jobs, i, i+1), same)
		return same, nil
	}
	if d.waiting.Load() >= mostWaiting {
		return nil, errBusy
	}
	j.id, j.done = randomName(), make(chan struct{})
	j.ctx, j.cancel = context.WithCancel(d.ctx)
	d.jobs = append(d.jobs, j)
	d.forget()
	d.waiting.Add(1)
	go d.work(j)
	return j, nil
}

// forget drops the plans that were asked for longest ago.
func (d *desk) forget() {
	triangles := 0
	for i := len(d.jobs) - 1; i >= 0; i-- {
		j := d.jobs[i]
		if !j.over() {
			continue
		}
		if j.sess != nil {
			triangles += j.sess.Mesh.NumTriangles()
		}
		if len(d.jobs)-i > mostPlans || triangles > mostStudied && i < len(d.jobs)-1 {
			d.jobs = slices.Delete(d.jobs, i, i+1)
		}
	}
}

// get finds a job.
func (d *desk) get(id string) *job {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, j := range d.jobs {
		if j.id == id {
			return j
		}
	}
	return nil
}

// seatAtWork takes a place among those that work at the same time.
func (d *desk) seatAtWork(ctx context.Context) (leave func(), err error) {
	select {
	case d.working <- struct{}{}:
		return func() { <-d.working }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// work does a job when its turn comes. One that fails stops nobody else's.
func (d *desk) work(j *job) {
	defer close(j.done)
	defer j.cancel()
	leave, err := d.seatAtWork(j.ctx)
	d.waiting.Add(-1)
	if err != nil {
		j.err = err
		return
	}
	defer leave()
	defer func() {
		if p := recover(); p != nil {
			j.sess, j.err = nil, &failure{fmt.Sprintf("the plan broke off: %v", p), "nothing was worked out", "try another setting, and keep the file: it shows a fault in this program"}
			debug.PrintStack()
		}
	}()
	j.began.Store(true)
	j.sess, j.err = j.plan()
	if j.err == nil {
		j.view, j.err = picture.Viewpoint(j.ctx, j.sess, picture.Options{System: j.s.system})
	}
}

// plan does the whole job, as moldtally plan does it.
func (j *job) plan() (*estimate.Session, error) {
	names := make([]string, len(j.patterns))
	for i, p := range j.patterns {
		names[i] = p.id
	}
	o := estimate.Options{Version: version, Progress: j.app.progress}
	if !j.s.shared(names) {
		r, err := j.patterns[0].study(j.ctx, j.app, j.s)
		if err != nil {
			return nil, err
		}
		job := j.s.job
		job.Source = r.src
		return r.study.Tally(j.ctx, job, o)
	}
	if err := j.s.checkShared(names); err != nil {
		return nil, err
	}
	var list []estimate.Shared
	for _, p := range j.patterns {
		r, err := p.study(j.ctx, j.app, j.s)
		if err != nil {
			return nil, err
		}
		list = append(list, estimate.Shared{Mesh: r.study.Mesh(), Source: r.src, Count: max(1, j.s.count)})
	}
	return estimate.TallyTogether(j.ctx, list, j.s.job, o)
}

// form makes one of the forms of the plan.
func (j *job) form(ctx context.Context, d *desk, f wanted) ([]byte, error) {
	leave, err := d.seatAtWork(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	j.making.Lock()
	defer j.making.Unlock()
	if j.forms == nil {
		j.forms = &forms{app: j.app, sess: j.sess, s: j.s, drawn: map[bool][]byte{}}
	}
	write, err := j.forms.other(ctx, f)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = write(&b)
	return b.Bytes(), err
}
