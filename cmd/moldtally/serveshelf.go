package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"moldtally/estimate"
	"moldtally/mesh/meshfile"
)

// What is dropped on the page lies in a private folder that goes when the server does,
// each file under a name of its own: no name that a browser sends is ever opened.

// How much is taken; judgements of this program.
const (
	mostUpload   = 2 << 30 // bytes of one file: 40 million triangles of a binary STL
	mostShelved  = 8 << 30 // bytes of all; what was used longest ago goes first
	mostPatterns = 200     // files
	mostArriving = 8       // files that are received at a time; the others wait
	stallTime    = 20 * time.Second
	arriveTime   = 15 * time.Minute // for a whole file
	queueTime    = 2 * time.Minute  // to wait for room to arrive in
)

// mostStudied is how many triangles the patterns may have together of which more is
// kept than the file, about 300 bytes each; a judgement.
const mostStudied = 12_000_000

// shelf holds the patterns.
type shelf struct {
	dir      string
	arriving chan struct{}

	mu       sync.Mutex
	patterns []*pattern // the one used last is the last
}

// pattern is one file on the shelf.
type pattern struct {
	id, name string
	size     int64

	mu    sync.Mutex
	read  []reading // as it was read, the one used last is the last
	mesh  int       // triangles
	trunk string    // the file
}

// reading is a file read in one unit, at one scale, and what was found of it.
type reading struct {
	as    string
	src   estimate.Source
	study *estimate.Study
}

// readingsKept is how many units and scales of one file are kept; a judgement.
const readingsKept = 2

func newShelf() (*shelf, error) {
	dir, err := os.MkdirTemp("", "moldtally-serve-*") // for the user alone (0700)
	if err != nil {
		return nil, &failure{fmt.Sprintf("there is no room for what is dropped on the page: %v", cause(err)), "no page was opened", "check the folder for passing files and the room on its disk"}
	}
	return &shelf{dir: dir, arriving: make(chan struct{}, mostArriving)}, nil
}

func (s *shelf) close() { os.RemoveAll(s.dir) }

// patternName is what a pattern is called by the name that a browser gives its file:
// that without folders and control characters.
func patternName(sent string) string {
	name := path.Base(strings.ReplaceAll(strings.ToValidUTF8(sent, ""), `\`, "/"))
	name = strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || strings.ContainsRune("/:\u2028\u2029\u202e", r) {
			return -1
		}
		return r
	}, name))
	if r := []rune(name); len(r) > 120 {
		name = string(r[len(r)-120:])
	}
	// On a command line it would be a flag.
	if name = strings.TrimLeft(name, "-"); name == "" || name == "." || name == ".." {
		return "pattern"
	}
	return name
}

// take receives a file of at most mostUpload bytes. alive is called before each read.
func (s *shelf) take(ctx context.Context, name string, r io.Reader, alive func()) (*pattern, error) {
	wait, cancel := context.WithTimeout(ctx, queueTime)
	defer cancel()
	select {
	case s.arriving <- struct{}{}:
		defer func() { <-s.arriving }()
	case <-wait.Done():
		return nil, errBusy
	}
	p := &pattern{id: randomName(), name: patternName(name)}
	p.trunk = filepath.Join(s.dir, p.id)
	f, err := os.OpenFile(p.trunk, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, cannotKeep(err)
	}
	p.size, err = io.Copy(f, &counted{r: r, most: mostUpload, alive: alive})
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil && p.size == 0 {
		err = &failure{p.name + " is empty", "there is no pattern to plan for", "choose another file"}
	}
	if err != nil {
		os.Remove(p.trunk)
		return nil, err
	}
	s.put(p)
	return p, nil
}

// errBusy says that there is no room for now.
var errBusy = errors.New("busy")

func cannotKeep(err error) error {
	return &failure{fmt.Sprintf("the file cannot be kept: %v", cause(err)), "the pattern is not there", "look at the room on the disk, and drop it again"}
}

// counted reads at most so many bytes.
type counted struct {
	r     io.Reader
	n     int64
	most  int64
	alive func()
}

// errTooLarge says that a file is larger than is taken.
var errTooLarge = errors.New("too large")

func (c *counted) Read(b []byte) (int, error) {
	c.alive()
	n, err := c.r.Read(b)
	if c.n += int64(n); c.n > c.most {
		return 0, errTooLarge
	}
	return n, err
}

// put shelves a pattern, and drops what was used longest ago where there is no room.
func (s *shelf) put(p *pattern) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.patterns = append(s.patterns, p)
	var bytes int64
	for _, q := range s.patterns {
		bytes += q.size
	}
	for len(s.patterns) > 1 && (bytes > mostShelved || len(s.patterns) > mostPatterns) {
		bytes -= s.patterns[0].size
		os.Remove(s.patterns[0].trunk)
		s.patterns = slices.Delete(s.patterns, 0, 1)
	}
}

// get finds a pattern; it is the one used last then.
func (s *shelf) get(id string) *pattern {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, p := range s.patterns {
		if p.id == id {
			s.patterns = append(slices.Delete(s.patterns, i, i+1), p)
			s.thin()
			return p
		}
	}
	return nil
}

// thin forgets what was found of the patterns used longest ago, where much is kept.
func (s *shelf) thin() {
	sum := 0
	for i := len(s.patterns) - 1; i >= 0; i-- {
		p := s.patterns[i]
		if !p.mu.TryLock() { // in work
			continue
		}
		if sum += p.mesh; sum > mostStudied && i < len(s.patterns)-1 {
			p.read, p.mesh = nil, 0
		}
		p.mu.Unlock()
	}
}

// drop takes a pattern off the shelf, and reports whether it was there.
func (s *shelf) drop(id string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.patterns, func(p *pattern) bool { return p.id == id })
	if i < 0 {
		return false
	}
	os.Remove(s.patterns[i].trunk)
	s.patterns = slices.Delete(s.patterns, i, i+1)
	return true
}

// study is what is known of a pattern read as the settings say; it is read once.
func (p *pattern) study(ctx context.Context, a *app, s *settings) (reading, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	as := s.units
	if s.resize != nil {
		as += fmt.Sprintf(" times %v", *s.resize)
	}
	as += fmt.Sprintf(" at most %d", s.maxTriangles)
	if i := slices.IndexFunc(p.read, func(r reading) bool { return r.as == as }); i >= 0 {
		r := p.read[i]
		p.read = append(slices.Delete(p.read, i, i+1), r)
		return r, nil
	}
	f, err := os.Open(p.trunk)
	if err != nil {
		return reading{}, &failure{p.name + " is no longer there", "nothing was worked out", "drop the file again"}
	}
	defer f.Close()
	b, info, err := meshfile.Read(ctx, f, p.size, meshfile.Options{MaxTriangles: s.maxTriangles, Progress: a.progress, Name: p.name})
	if err != nil {
		return reading{}, err
	}
	m, src, err := s.built(p.name, b, info)
	if err != nil {
		return reading{}, err
	}
	r := reading{as, src, estimate.NewStudy(m)}
	p.mesh = m.NumTriangles()
	if p.read = append(p.read, r); len(p.read) > readingsKept {
		p.read = slices.Delete(p.read, 0, 1)
	}
	return r, nil
}

// alive gives a slow upload time for its next piece, and an end.
func (v *server) alive(w http.ResponseWriter) func() {
	c, end := http.NewResponseController(w), time.Now().Add(arriveTime)
	return func() {
		next := time.Now().Add(v.stall)
		if next.After(end) {
			next = end
		}
		_ = c.SetReadDeadline(next) // where it cannot be set there is no connection either
	}
}
