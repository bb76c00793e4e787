package meshfile

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"path"
	"strings"
)

// Limits on what a compressed file may expand to: meshes shrink to a tenth or
// a twentieth at best, so 50 times means a bomb. Small files may expand to
// freeExpand whatever their size. Own choice, no source.
const (
	maxExpand  = 50
	freeExpand = 64 << 20
)

// expandLimit is the most bytes that may come out of this file.
func (s *source) expandLimit() int64 { return max(freeExpand, maxExpand*s.size) }

func (s *source) bomb() *Error {
	return s.fail("archive.bomb", maxExpand)
}

// section reads the source as a stream; it stops when ctx is cancelled.
func (s *source) stream() io.Reader {
	return &ctxReader{s: s, r: io.NewSectionReader(s.r, 0, s.size)}
}

type ctxReader struct {
	s *source
	r io.Reader
}

func (c *ctxReader) Read(p []byte) (int, error) {
	if err := c.s.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(p)
}

// inflate returns all that open's stream expands to. It goes through the
// stream twice: once to learn the size, which no head can be trusted with, and
// once into memory of just that size. So a bomb costs time but no memory.
func (s *source) inflate(open func() (io.Reader, error)) ([]byte, error) {
	r, err := open()
	if err != nil {
		return nil, err
	}
	limit := s.expandLimit()
	size := int64(0)
	block := make([]byte, 1<<16)
	for {
		if err := s.ctx.Err(); err != nil {
			return nil, err
		}
		n, err := r.Read(block)
		if size += int64(n); size > limit {
			return nil, s.bomb()
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, s.unpackError(err)
		}
	}
	if r, err = open(); err != nil {
		return nil, err
	}
	data := make([]byte, size)
	for p := data; len(p) > 0; {
		if err := s.ctx.Err(); err != nil {
			return nil, err
		}
		n, err := io.ReadFull(r, p[:min(len(p), 1<<20)])
		if err != nil {
			return nil, s.unpackError(err)
		}
		p = p[n:]
	}
	return data, nil
}

func (s *source) unpackError(err error) error {
	if s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return s.fail("archive.cut")
	}
	return s.fail("archive.damaged")
}

// inner reads what was found inside a wrapper.
func (s *source) inner(data []byte, name string) error {
	if s.depth >= 2 {
		return s.fail("archive.nested")
	}
	in := *s
	in.r, in.size, in.depth, in.dir = bytes.NewReader(data), int64(len(data)), s.depth+1, ""
	if e := strings.ToLower(path.Ext(name)); e != "" {
		in.ext = e
	}
	return in.readAny()
}

func (s *source) readGzip() error {
	name := ""
	data, err := s.inflate(func() (io.Reader, error) {
		z, err := gzip.NewReader(bufio.NewReaderSize(s.stream(), 1<<16))
		if err != nil {
			if s.ctx.Err() != nil {
				return nil, s.ctx.Err()
			}
			return nil, s.fail("archive.gzip-head")
		}
		name = z.Name
		return z, nil
	})
	if err != nil {
		return err
	}
	if name == "" {
		name = strings.TrimSuffix(s.name, path.Ext(s.name))
	}
	return s.inner(data, name)
}

// readZip opens 3MF, and archives that hold one mesh file.
func (s *source) readZip() error {
	z, err := zip.NewReader(s.r, s.size)
	if err != nil {
		return s.fail("archive.no-contents")
	}
	var meshes []*zip.File
	files := 0
	names := map[string]int{}
	model := false
	for _, f := range z.File {
		n := strings.ToLower(path.Clean("/" + strings.ReplaceAll(f.Name, `\`, "/")))
		if strings.HasSuffix(f.Name, "/") || strings.HasPrefix(path.Base(n), ".") && n != "/_rels/.rels" || strings.HasPrefix(n, "/__macosx/") {
			continue
		}
		files++
		names[path.Ext(n)]++
		if path.Ext(n) == ".model" {
			model = true
		}
		switch path.Ext(n) {
		case ".stl", ".obj", ".ply", ".off", ".3mf", ".gltf", ".glb", ".gz":
			meshes = append(meshes, f)
		}
	}
	switch {
	case model:
		return s.read3MF(z)
	case len(meshes) == 1:
	case len(meshes) > 1:
		return s.fail("archive.several", len(meshes))
	case files == 0:
		return s.fail("archive.empty")
	case names[".xml"] > 0 && names[".rels"] > 0:
		return s.fail("archive.package")
	default:
		return s.fail("archive.no-mesh", files)
	}
	f := meshes[0]
	if f.Flags&1 != 0 {
		return s.fail("archive.locked")
	}
	data, err := s.inflate(func() (io.Reader, error) {
		r, err := f.Open() // needs no closing: nothing but memory behind it
		if err != nil {
			return nil, s.fail("archive.packing")
		}
		return r, nil
	})
	if err != nil {
		return err
	}
	return s.inner(data, f.Name)
}
