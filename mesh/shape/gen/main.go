// Command gen writes the sample patterns in testdata, and the README there that
// says what is known of each. It draws nothing from the machine: the same
// program gives the same bytes.
//
//	go run ./mesh/shape/gen -out testdata
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	out := flag.String("out", "testdata", "folder to write to")
	flag.Parse()
	if err := write(*out); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

func write(dir string) error {
	for _, f := range files() {
		if err := os.WriteFile(filepath.Join(dir, f.name), f.data, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// file is one file of testdata.
type file struct {
	name string
	data []byte
}

// files makes everything.
func files() []file {
	ps := patterns()
	var fs []file
	for _, p := range ps {
		fs = append(fs, file{p.name, p.data})
	}
	return append(fs, file{"README.md", readme(ps)})
}
