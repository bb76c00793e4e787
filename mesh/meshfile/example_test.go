package meshfile_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"

	"moldtally/mesh/meshfile"
)

func ExampleRead() {
	obj := "v 0 0 0\nv 40 0 0\nv 0 30 0\nv 0 0 20\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
	b, info, err := meshfile.Read(context.Background(), strings.NewReader(obj), int64(len(obj)), meshfile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := b.Build(1) // the file does not say its unit: millimetres
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, unit %q, %d triangles, %v mm\n", info.Format, info.Unit, m.NumTriangles(), m.Size().Array())
	// Output: OBJ, unit "", 4 triangles, [40 30 20] mm
}

func ExampleOpen() {
	_, _, err := meshfile.Open(context.Background(), "no such folder/heron.stl", meshfile.Options{})
	var e *meshfile.Error
	if errors.As(err, &e) {
		fmt.Println(e.File, e.Fault)
	}
	// Output: heron.stl open.missing
}

func ExampleWrite() {
	obj := "v 0 0 0\nv 40 0 0\nv 0 30 0\nv 0 0 20\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
	b, _, _ := meshfile.Read(context.Background(), strings.NewReader(obj), int64(len(obj)), meshfile.Options{})
	m, _ := b.Build(1)
	var out bytes.Buffer
	if err := meshfile.Write(&out, "off", m); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.SplitN(out.String(), "\n", 3)[1])
	// Output: 4 4 0
}
