//go:build !unix

package main

import "io/fs"

func umask() fs.FileMode { return 0o022 }
