package estimate

import (
	"context"
	"hash/maphash"
	"sync"
	"testing"

	"moldtally/mesh"
)

// Many tests plan the same body for another casting, another shop, another kind of mold:
// what was found of it is kept for the tests after them, as TestStudyIsTally allows.
var (
	studiesMu sync.Mutex
	studies   = recent[uint64, *Study]{most: 32}
	hashing   = maphash.MakeSeed()
)

// studyOf is the study of a body that jobs ask at one size, mm; nil = its own.
func studyOf(m *mesh.Mesh, longest *float64) *Study {
	var h maphash.Hash
	h.SetSeed(hashing)
	for _, v := range m.Vertices() {
		maphash.WriteComparable(&h, v)
	}
	for _, f := range m.Triangles() {
		maphash.WriteComparable(&h, f)
	}
	maphash.WriteComparable(&h, asGiven(longest))
	studiesMu.Lock()
	defer studiesMu.Unlock()
	s, ok := studies.get(h.Sum64())
	if !ok {
		s = NewStudy(m)
		studies.put(h.Sum64(), s)
	}
	return s
}

// sharedTally is Tally of a body that other tests plan too.
func sharedTally(m *mesh.Mesh, job Job, o Options) (*Session, error) {
	return studyOf(m, job.Longest).Tally(context.Background(), job, o)
}

// sharedKnown is what is known of a body that other tests plan too.
func sharedKnown(t *testing.T, m *mesh.Mesh, job Job) *known {
	t.Helper()
	r, err := job.resolve()
	if err != nil {
		t.Fatal(err)
	}
	s, at := studyOf(m, job.Longest), r.sizeAsked()
	of, ok := s.sizes.get(at)
	if !ok {
		sized, as, err := r.sized(context.Background(), m)
		if err != nil {
			t.Fatal(err)
		}
		of = newStudied(sized)
		of.resized, of.given = as.Source.Resized, as.Source.SizeGiven
		s.sizes.put(at, of)
	}
	r.Source.Resized, r.Source.SizeGiven = of.resized, of.given
	k, err := of.know(context.Background(), r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return k
}
