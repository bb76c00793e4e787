package meshfile

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"testing"
)

// Corners named by single bytes that stand four apart: the library overlooks the
// stride.
func TestGLTFByteStride(t *testing.T) {
	var b bytes.Buffer
	for _, x := range []float32{0, 0, 0, 1, 0, 0, 0, 1, 0} {
		_ = binary.Write(&b, binary.LittleEndian, x)
	}
	b.Write([]byte{0, 9, 9, 9, 1, 9, 9, 9, 2, 9, 9, 9})
	js := `{"asset":{"version":"2.0"},"meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],` +
		`"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"},{"bufferView":1,"componentType":5121,"count":3,"type":"SCALAR"}],` +
		`"bufferViews":[{"buffer":0,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":12,"byteStride":4}],` +
		`"buffers":[{"byteLength":48,"uri":"data:;base64,` + base64.StdEncoding.EncodeToString(b.Bytes()) + `"}]}`
	m, _ := readBytes(t, []byte(js))
	if m.NumTriangles() != 1 || m.NumVertices() != 3 {
		t.Errorf("%d triangles, %d corners", m.NumTriangles(), m.NumVertices())
	}
}
