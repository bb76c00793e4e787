package meshfile

import (
	"bytes"
	"encoding/base64"
	"errors"
	"io"
	"math"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/mesh"
)

// glSizes are the bytes of each component type.
var glSizes = map[gltf.ComponentType]int64{
	gltf.ComponentByte: 1, gltf.ComponentUbyte: 1, gltf.ComponentShort: 2,
	gltf.ComponentUshort: 2, gltf.ComponentUint: 4, gltf.ComponentFloat: 4,
}

func (r *glReader) accessor(i int) (*gltf.Accessor, error) {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.Accessors) || d.Accessors[i] == nil {
		return nil, s.fail("gltf.no-list")
	}
	a := d.Accessors[i]
	if a.Count < 0 || a.Count > math.MaxInt32/2 {
		return nil, s.fail("gltf.list-length", a.Count)
	}
	if a.Type != gltf.AccessorScalar && a.Type != gltf.AccessorVec3 {
		return nil, s.fail("gltf.list-kind")
	}
	elem := glSizes[a.ComponentType] * int64(a.Type.Components())
	if a.BufferView != nil {
		if err := r.view(*a.BufferView, int64(a.ByteOffset), elem, int64(a.Count), true); err != nil {
			return nil, err
		}
	} else if a.Sparse == nil || int64(a.Count) > 1_000_000+16*s.size {
		// Without data of its own an accessor is all zeros: fine under a
		// sparse one, otherwise the data is compressed by an extension, or
		// missing.
		return nil, s.fail("gltf.list-empty", a.Count)
	}
	if sp := a.Sparse; sp != nil {
		if sp.Count < 0 || sp.Count > a.Count {
			return nil, s.fail("gltf.changes-many")
		}
		switch sp.Indices.ComponentType {
		case gltf.ComponentUbyte, gltf.ComponentUshort, gltf.ComponentUint:
		default:
			return nil, s.fail("gltf.changes-kind")
		}
		if err := r.view(sp.Indices.BufferView, int64(sp.Indices.ByteOffset), glSizes[sp.Indices.ComponentType], int64(sp.Count), false); err != nil {
			return nil, err
		}
		if err := r.view(sp.Values.BufferView, int64(sp.Values.ByteOffset), elem, int64(sp.Count), false); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// view checks that n elements of the given size lie inside the buffer view.
func (r *glReader) view(i int, off, elem, n int64, strided bool) error {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.BufferViews) || d.BufferViews[i] == nil {
		return s.fail("gltf.no-view")
	}
	v := d.BufferViews[i]
	for e := range v.Extensions {
		if strings.HasSuffix(e, "_meshopt_compression") {
			return s.compressed("meshopt")
		}
	}
	if v.Buffer < 0 || v.Buffer >= len(d.Buffers) || d.Buffers[v.Buffer] == nil {
		return s.fail("gltf.no-buffer")
	}
	size, err := r.buffer(v.Buffer)
	if err != nil {
		return err
	}
	vo, vl := int64(v.ByteOffset), int64(v.ByteLength)
	if vo < 0 || vl < 0 || vo > size || vl > size-vo {
		return s.fail("gltf.view-range")
	}
	stride := elem
	if strided && v.ByteStride != 0 {
		stride = int64(v.ByteStride)
		if stride < elem || stride > 1<<16 {
			return s.fail("gltf.stride")
		}
	}
	if off < 0 || n > 0 && (off > vl || elem > vl-off || (n-1) > (vl-off-elem)/stride) {
		return s.fail("gltf.list-range")
	}
	return nil
}

// buffer opens buffer i and returns its length.
func (r *glReader) buffer(i int) (int64, error) {
	if r.bufs[i] != nil {
		return r.lens[i], nil
	}
	s, b := r.s, r.doc.Buffers[i]
	want := int64(b.ByteLength)
	if want < 0 {
		return 0, s.fail("gltf.buffer-length", want)
	}
	var data io.ReaderAt
	var have int64
	switch {
	case b.URI == "" && i == 0 && r.bin != nil:
		data, have = r.bin, r.bin.Size()
	case b.URI == "":
		for e := range b.Extensions {
			if strings.HasSuffix(e, "_meshopt_compression") {
				return 0, s.compressed("meshopt")
			}
		}
		return 0, s.fail("gltf.no-data")
	case len(b.URI) >= 5 && strings.EqualFold(b.URI[:5], "data:"):
		p, err := dataURI(b.URI)
		if err != nil {
			return 0, s.fail("gltf.embedded")
		}
		b.URI = "data:" // let go of the text
		data, have = bytes.NewReader(p), int64(len(p))
	default:
		f, n, err := r.side(b.URI)
		if err != nil {
			return 0, err
		}
		data, have = f, n
	}
	if have < want {
		return 0, s.fail("gltf.buffer-cut", want, have)
	}
	r.bufs[i], r.lens[i] = data, want
	return want, nil
}

// dataURI decodes data:[type][;base64],… whatever the media type says.
func dataURI(u string) ([]byte, error) {
	head, body, ok := strings.Cut(u, ",")
	if !ok {
		return nil, errors.New("no comma")
	}
	if !strings.HasSuffix(strings.ToLower(head), ";base64") {
		t, err := url.PathUnescape(body)
		return []byte(t), err
	}
	if strings.Contains(body, "%") {
		t, err := url.PathUnescape(body)
		if err != nil {
			return nil, err
		}
		body = t
	}
	if p, err := base64.StdEncoding.DecodeString(body); err == nil {
		return p, nil
	}
	return base64.RawStdEncoding.DecodeString(body)
}

// side opens a file beside the document: only inside its folder, never
// through a link that leads out, never over the network.
func (r *glReader) side(uri string) (io.ReaderAt, int64, error) {
	s := r.s
	if k := strings.IndexByte(uri, ':'); k >= 0 {
		if k == 1 {
			return nil, 0, s.fail("gltf.side-drive", uri)
		}
		return nil, 0, s.fail("gltf.side-remote", uri)
	}
	name, err := url.PathUnescape(uri)
	if err != nil {
		name = uri
	}
	name = strings.ReplaceAll(name, `\`, "/")
	if strings.HasPrefix(name, "//") {
		return nil, 0, s.fail("gltf.side-remote", uri)
	}
	shown := path.Base(name)
	if s.dir == "" {
		return nil, 0, s.fail("gltf.side-unknown", shown)
	}
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return nil, 0, s.fail("gltf.side-outside", shown)
	}
	if r.root == nil {
		root, err := os.OpenRoot(s.dir)
		if err != nil {
			return nil, 0, s.input(err)
		}
		r.root = root
	}
	st, err := r.root.Stat(filepath.FromSlash(name))
	if err == nil && !st.Mode().IsRegular() {
		return nil, 0, s.fail("gltf.side-kind", shown)
	}
	var f *os.File
	if err == nil {
		f, err = r.root.Open(filepath.FromSlash(name))
	}
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return nil, 0, s.fail("gltf.side-missing", shown)
		}
		return nil, 0, s.fail("gltf.side-closed", shown)
	}
	r.open = append(r.open, f)
	return f, st.Size(), nil
}

// load brings the data of a buffer view into memory, where the library reads it.
func (r *glReader) load(view int) error {
	i := r.doc.BufferViews[view].Buffer
	b := r.doc.Buffers[i]
	if int64(len(b.Data)) == r.lens[i] {
		return nil
	}
	data := make([]byte, r.lens[i])
	for off := 0; off < len(data); off += textBlock {
		if err := r.s.ctx.Err(); err != nil {
			return err
		}
		p := data[off:min(off+textBlock, len(data))]
		if n, err := r.bufs[i].ReadAt(p, int64(off)); n < len(p) {
			if err == nil || err == io.EOF {
				err = errors.New("it became shorter while it was read")
			}
			return r.s.input(err)
		}
		r.s.progress(min(int64(off), r.s.size))
	}
	b.Data = data
	return nil
}

// numbers is the seam to the library's reader of accessors, for one that
// accessor has checked: whatever it does, an error comes back.
func (r *glReader) numbers(a *gltf.Accessor) (data any, err error) {
	defer func() {
		if x := recover(); x != nil {
			data, err = nil, r.s.fail("gltf.numbers")
		}
	}()
	if a.BufferView != nil {
		if err := r.load(*a.BufferView); err != nil {
			return nil, err
		}
	}
	if sp := a.Sparse; sp != nil {
		if sp.Count == 0 { // nothing is changed
			b := *a
			b.Sparse = nil
			a = &b
		} else if err := r.changes(a); err != nil {
			return nil, err
		}
	}
	data, err = modeler.ReadAccessor(r.doc, a, nil)
	if err != nil {
		err = r.s.fail("gltf.numbers")
	}
	return data, err
}

// changes checks what a sparse accessor names: rising, and there.
func (r *glReader) changes(a *gltf.Accessor) error {
	sp := a.Sparse
	for _, v := range []int{sp.Indices.BufferView, sp.Values.BufferView} {
		if err := r.load(v); err != nil {
			return err
		}
	}
	list, err := modeler.ReadIndices(r.doc, &gltf.Accessor{ComponentType: sp.Indices.ComponentType, Count: sp.Count, Type: gltf.AccessorScalar,
		BufferView: &sp.Indices.BufferView, ByteOffset: sp.Indices.ByteOffset}, nil)
	if err != nil {
		return r.s.fail("gltf.changes-order")
	}
	before := int64(-1)
	for _, i := range list {
		if int64(i) <= before || int64(i) >= int64(a.Count) {
			return r.s.fail("gltf.changes-order")
		}
		before = int64(i)
	}
	return nil
}

// places calls f with every place of a checked accessor, in order, normalised
// integers turned to -1…1 or 0…1.
func (r *glReader) places(a *gltf.Accessor, f func(mesh.Vec) error) error {
	data, err := r.numbers(a)
	if err != nil {
		return err
	}
	switch d := data.(type) {
	case [][3]float32:
		return eachPlace(r, d, 1, f)
	case [][3]uint32:
		return eachPlace(r, d, 1, f)
	case [][3]uint16:
		return eachPlace(r, d, whole(a, math.MaxUint16), f)
	case [][3]int16:
		return eachPlace(r, d, whole(a, math.MaxInt16), f)
	case [][3]uint8:
		return eachPlace(r, d, whole(a, math.MaxUint8), f)
	case [][3]int8:
		return eachPlace(r, d, whole(a, math.MaxInt8), f)
	}
	return r.s.fail("gltf.corner-kind")
}

// whole is the integer that stands for 1.
func whole(a *gltf.Accessor, most float64) float64 {
	if a.Normalized {
		return most
	}
	return 1
}

func eachPlace[T float32 | uint32 | uint16 | int16 | uint8 | int8](r *glReader, list [][3]T, one float64, f func(mesh.Vec) error) error {
	at := func(x T) float64 {
		if one == 1 {
			return float64(x)
		}
		return max(float64(x)/one, -1)
	}
	for i, p := range list {
		if i%(1<<16) == 0 {
			if err := r.s.ctx.Err(); err != nil {
				return err
			}
		}
		if err := f(mesh.Vec{X: at(p[0]), Y: at(p[1]), Z: at(p[2])}); err != nil {
			return err
		}
	}
	return nil
}

// corners reads a checked accessor of whole numbers.
func (r *glReader) corners(a *gltf.Accessor) ([]uint32, error) {
	data, err := r.numbers(a)
	if err != nil {
		return nil, err
	}
	switch d := data.(type) {
	case []uint32:
		return d, nil
	case []uint16:
		return widened(d), nil
	case []uint8:
		if a.BufferView != nil && a.Sparse == nil { // of bytes the library overlooks the stride
			if v := r.doc.BufferViews[*a.BufferView]; v.ByteStride > 1 {
				b := r.doc.Buffers[v.Buffer].Data[v.ByteOffset+a.ByteOffset:]
				for i := range d {
					d[i] = b[i*v.ByteStride]
				}
			}
		}
		return widened(d), nil
	}
	return nil, r.s.fail("gltf.index-kind")
}

func widened[T uint8 | uint16](list []T) []uint32 {
	out := make([]uint32, len(list))
	for i, x := range list {
		out[i] = uint32(x)
	}
	return out
}
