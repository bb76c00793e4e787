package main

import (
	"fmt"
	"io"
)

// run is the whole program with its streams as arguments; it returns the exit
// status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fmt.Fprintln(stderr, "moldtally: no command yet reads a pattern")
	return 2
}
