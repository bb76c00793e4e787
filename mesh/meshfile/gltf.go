package meshfile

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/qmuntal/gltf"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// glTF 2.0 (Khronos, ISO/IEC 12113:2022, recalled, not opened). The JSON
// document and the numbers are the library's; counts and offsets, which it
// trusts, are checked here before.

// Limits of a scene: the deepest tree of nodes followed, and the most pieces
// of surface placed. Far above any assembly met so far; own choice, no source.
const (
	glMaxDepth  = 1000
	glMaxPlaced = 250_000
)

// ownGenerator is what the models that this program draws are signed with. They
// hold the container's glass beside the pattern, and that is no pattern.
const ownGenerator = "moldtally"

// glReader reads one document.
type glReader struct {
	s      *source
	doc    *gltf.Document
	bin    *io.SectionReader // of a GLB, may be nil
	bufs   []io.ReaderAt     // per buffer, nil = not opened
	lens   []int64
	root   *os.Root
	copies int    // triangles that may still be placed
	visits int    // primitives placed so far
	seen   []bool // nodes
	welded []int32
	points int
	posed  bool
	inst   bool
	strays int
	open   []*os.File // side files
}

func (s *source) readGLB() error {
	s.info.Format = "GLB"
	if s.size < 20 {
		return s.fail("head.cut")
	}
	h := make([]byte, 20)
	if err := s.readAt(h, 0); err != nil {
		return err
	}
	version, total := binary.LittleEndian.Uint32(h[4:]), int64(binary.LittleEndian.Uint32(h[8:]))
	if version != 2 {
		return s.fail("gltf.glb-version", version)
	}
	if total > s.size {
		return s.fail("gltf.cut", total, s.size)
	}
	if total < s.size {
		s.note(CodeTrailing, finding.Note, Trailing{s.name, s.size - total, AfterEnd})
	}
	jlen := int64(binary.LittleEndian.Uint32(h[12:]))
	if string(h[16:20]) != "JSON" || 20+jlen > total {
		return s.fail("gltf.no-description")
	}
	js := make([]byte, jlen)
	if err := s.readAt(js, 20); err != nil {
		return err
	}
	var bin *io.SectionReader
	at := 20 + jlen
	for at+8 <= total {
		if err := s.readAt(h[:8], at); err != nil {
			return err
		}
		n := int64(binary.LittleEndian.Uint32(h))
		at += 8
		if n > total-at {
			return s.fail("gltf.part-cut")
		}
		if string(h[4:8]) == "BIN\x00" {
			bin = io.NewSectionReader(s.r, at, n)
			break
		}
		at += n
	}
	return s.readDoc(js, bin)
}

func (s *source) readGLTF() error {
	s.info.Format = "glTF"
	js := make([]byte, s.size)
	for off := int64(0); off < s.size; off += 1 << 20 {
		if err := s.readAt(js[off:min(off+1<<20, s.size)], off); err != nil {
			return err
		}
	}
	return s.readDoc(js[bom(js):], nil)
}

// jsonObjects counts braces and brackets outside strings, so that a document
// of a million empty nodes is refused before each becomes a structure.
func jsonObjects(p []byte) (n int64) {
	for i := 0; i < len(p); i++ {
		switch p[i] {
		case '{', '[':
			n++
		case '"':
			for {
				k := bytes.IndexAny(p[i+1:], `"\`)
				if k < 0 {
					return n
				}
				i += 1 + k
				if p[i] == '"' {
					break
				}
				i++
				if i >= len(p) {
					return n
				}
			}
		}
	}
	return n
}

// decodeDoc is the seam to the library: whatever it does with hostile JSON,
// an error comes back.
func decodeDoc(js []byte) (doc *gltf.Document, err error) {
	defer func() {
		if r := recover(); r != nil {
			doc, err = nil, fmt.Errorf("gltf: %v", r)
		}
	}()
	doc = new(gltf.Document)
	// The decoder of the library would load the buffers too.
	err = json.Unmarshal(js, doc)
	return doc, err
}

func (s *source) readDoc(js []byte, bin *io.SectionReader) error {
	js = bytes.TrimRight(js, " \x00\r\n\t")
	if n := jsonObjects(js); n > 50_000+int64(len(js))/16 {
		return s.fail("gltf.entries", n)
	}
	doc, err := decodeDoc(js)
	if err != nil {
		var syn *json.SyntaxError
		if errors.As(err, &syn) && syn.Offset >= int64(len(js)) {
			return s.fail("gltf.description-cut")
		}
		if s.info.Format == "glTF" && !bytes.Contains(js[:min(len(js), 1<<20)], []byte(`"asset"`)) {
			return s.fail("foreign.text")
		}
		return s.fail("gltf.description-damaged")
	}
	if doc.Asset.Version == "" && len(doc.Meshes) == 0 {
		return s.fail("foreign.json")
	}
	if v := doc.Asset.Version; !strings.HasPrefix(v, "2.") {
		return s.fail("gltf.version", v)
	}
	s.info.Unit, s.info.Scale = "m", 1000
	up := mesh.V(0, 1, 0)
	s.info.Up = &up
	if err := s.extensions(doc); err != nil {
		return err
	}
	r := &glReader{s: s, doc: doc, bin: bin, copies: s.copyLimit()}
	r.bufs = make([]io.ReaderAt, len(doc.Buffers))
	r.lens = make([]int64, len(doc.Buffers))
	r.seen = make([]bool, len(doc.Nodes))
	defer func() {
		for _, f := range r.open {
			f.Close()
		}
		if r.root != nil {
			r.root.Close()
		}
	}()
	if err := r.scenes(); err != nil {
		return err
	}
	if s.b.NumTriangles() == 0 {
		if r.points > 0 {
			return s.pointCloud(r.points)
		}
		return s.fail("gltf.no-surface")
	}
	if r.posed {
		s.note(CodePose, finding.Caution, Pose{s.name})
	}
	if r.inst {
		s.noteMissing(UnreadInstances)
	}
	s.noteSkipped(r.strays, StrayPart)
	return nil
}

// extensions refuses what changes the surface in ways not read here.
func (s *source) extensions(doc *gltf.Document) error {
	for _, e := range doc.ExtensionsRequired {
		switch {
		case e == "KHR_draco_mesh_compression":
			return s.compressed("Draco")
		case e == "EXT_meshopt_compression" || e == "KHR_meshopt_compression":
			return s.compressed("meshopt")
		case e == "KHR_mesh_quantization":
		case strings.HasPrefix(e, "KHR_materials_"), strings.HasPrefix(e, "KHR_texture_"), strings.HasPrefix(e, "EXT_texture_"),
			strings.HasPrefix(e, "KHR_lights_"), strings.HasPrefix(e, "EXT_lights_"), strings.HasPrefix(e, "KHR_xmp"), strings.HasPrefix(e, "KHR_animation_"):
			// Looks, not shape.
		default:
			return s.fail("gltf.extension", e)
		}
	}
	return nil
}

func (s *source) compressed(how string) *Error {
	return s.fail("gltf.compressed", how)
}
