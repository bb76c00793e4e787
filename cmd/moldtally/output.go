package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// outputs decides where the files of a run go and writes them so that a
// failed run leaves none: each is written beside its target under a passing
// name and renamed once everything for that pattern is there.
type outputs struct {
	patterns []string // as named on the command line, never overwritten
	apart    bool     // there are several, each with files of its own
	taken    map[string]bool
}

// target says where the output that a flag asks for goes, for one pattern of
// several. With several patterns the flag names a folder; with one it names a
// file, or a folder that is there already.
func (o *outputs) target(flag, name, pattern, ext string) (string, error) {
	if name == "" {
		return "", nil
	}
	st, err := os.Stat(name)
	isDir := err == nil && st.IsDir()
	slash := os.IsPathSeparator(name[len(name)-1])
	switch {
	case o.apart && err == nil && !isDir,
		o.apart && err != nil && !slash && filepath.Ext(name) != "":
		return "", usagef("name a folder instead: each pattern gets a file of its own in it", "%s %s names a file, but there are %d patterns", flag, name, len(o.patterns))
	case err == nil && !isDir && !st.Mode().IsRegular():
		return "", usagef("name an ordinary file", "%s %s is not an ordinary file", flag, name)
	}
	path := name
	if o.apart || isDir || slash {
		path = filepath.Join(name, o.free(name, stem(pattern), ext))
	}
	// A folder that is missing is made, but only one.
	if dir := filepath.Dir(path); !isFolder(dir) && !isFolder(filepath.Dir(dir)) {
		return "", &failure{fmt.Sprintf("there is no folder %s for %s", dir, flag), "nothing was worked out", "make the folder first, or name another"}
	}
	for _, p := range o.patterns {
		if sameFile(path, p) {
			return "", usagef("give the output another name", "%s %s would overwrite the pattern %s", flag, name, filepath.Base(p))
		}
	}
	return path, nil
}

func isFolder(name string) bool {
	st, err := os.Stat(name)
	return err == nil && st.IsDir()
}

// free is a file name in a folder that no other pattern of this run has.
func (o *outputs) free(dir, stem, ext string) string {
	if o.taken == nil {
		o.taken = map[string]bool{}
	}
	name := stem + ext
	for n := 2; o.taken[filepath.Join(dir, strings.ToLower(name))]; n++ {
		name = fmt.Sprintf("%s-%d%s", stem, n, ext)
	}
	o.taken[filepath.Join(dir, strings.ToLower(name))] = true
	return name
}

// stem is a pattern's base name without its extension.
func stem(pattern string) string {
	b := baseName(pattern)
	if s := strings.TrimSuffix(b, filepath.Ext(b)); s != "" {
		return s
	}
	return b
}

// baseName is what a pattern is called in reports.
func baseName(pattern string) string {
	if pattern == "-" {
		return "stdin"
	}
	return filepath.Base(pattern)
}

func sameFile(a, b string) bool {
	if b == "-" {
		return false
	}
	if x, err := os.Stat(a); err == nil {
		if y, err := os.Stat(b); err == nil {
			return os.SameFile(x, y)
		}
	}
	x, err1 := filepath.Abs(a)
	y, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && x == y
}

// batch is the set of files of one pattern, written together.
type batch struct {
	files   []pending
	folders []string // made on the way
}

type pending struct{ tmp, target string }

// add writes a file under a passing name beside its target. A folder that is
// missing is made (one level).
func (b *batch) add(target string, write func(io.Writer) error) (err error) {
	dir := filepath.Dir(target)
	if err := os.Mkdir(dir, 0o777); err == nil {
		b.folders = append(b.folders, dir)
	} else if !errors.Is(err, fs.ErrExist) {
		return &failure{fmt.Sprintf("the folder %s is not there and cannot be made: %v", dir, cause(err)), "nothing was written", "make the folder first, or name another"}
	}
	f, err := os.CreateTemp(dir, ".moldtally-*")
	if err != nil {
		return cannotWrite(target, err)
	}
	b.files = append(b.files, pending{f.Name(), target})
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	// Temporary files are made for their owner alone; a result is a file like
	// any other.
	if err := f.Chmod(0o666 &^ umask()); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		f.Close()
		return cannotWrite(target, err)
	}
	if err := f.Close(); err != nil {
		return cannotWrite(target, err)
	}
	return nil
}

// commit gives every file its name.
func (b *batch) commit() error {
	for i, p := range b.files {
		if err := os.Rename(p.tmp, p.target); err != nil {
			b.files = b.files[i:]
			return cannotWrite(p.target, err)
		}
	}
	b.files, b.folders = nil, nil
	return nil
}

// discard removes what was not committed; harmless after commit.
func (b *batch) discard() {
	for _, p := range b.files {
		os.Remove(p.tmp)
	}
	for _, d := range b.folders {
		os.Remove(d) // not where it holds something
	}
	b.files, b.folders = nil, nil
}

func cannotWrite(target string, err error) error {
	return &failure{fmt.Sprintf("%s cannot be written: %v", target, cause(err)), "nothing was written", "check the folder, its permissions and the room on the disk"}
}

// cause is the innermost error: the path is already said.
func cause(err error) error {
	for {
		u := errors.Unwrap(err)
		if u == nil {
			return err
		}
		err = u
	}
}
