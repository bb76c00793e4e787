//go:build unix

package main

import (
	"io/fs"
	"syscall"
)

// umask reads the process's file mode mask; it can only be read by setting it.
func umask() fs.FileMode {
	m := syscall.Umask(0o022)
	syscall.Umask(m)
	return fs.FileMode(m)
}
