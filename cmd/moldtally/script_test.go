package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected outputs in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"moldtally": main,
	})
}

func TestScripts(t *testing.T) {
	samples, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			home := filepath.Join(e.WorkDir, ".home")
			// No settings of the machine's user are met.
			for _, v := range []string{"HOME", "XDG_CONFIG_HOME", "AppData", "USERPROFILE"} {
				e.Setenv(v, home)
			}
			e.Setenv("SAMPLES", samples)
			return os.Mkdir(home, 0o777)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"json":  jsonCommand,
			"files": filesCommand,
			"exit":  exitCommand,
			"bytes": bytesCommand,
		},
	})
}

// jsonCommand: json FILE PATH [WANT [TOLERANCE]] looks a value up in a JSON
// file (or stdout) by a path such as rubber.pours.0.half. WANT is compared as
// text; or as a number where TOLERANCE is given; WANT "*" only asks for it to
// be there. With !, the path must not be there.
func jsonCommand(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: json file path [want [tolerance]]")
	}
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile(args[0])), &v); err != nil {
		ts.Fatalf("%s is not JSON: %v", args[0], err)
	}
	for _, p := range strings.Split(args[1], ".") {
		switch x := v.(type) {
		case map[string]any:
			w, ok := x[p]
			if !ok {
				if neg {
					return
				}
				ts.Fatalf("%s: no key %q", args[1], p)
			}
			v = w
		case []any:
			if p == "len" {
				v = float64(len(x))
				continue
			}
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(x) {
				if neg {
					return
				}
				ts.Fatalf("%s: no element %q of %d", args[1], p, len(x))
			}
			v = x[i]
		default:
			if neg {
				return
			}
			ts.Fatalf("%s: %q is below a plain value", args[1], p)
		}
	}
	if neg && len(args) == 2 {
		ts.Fatalf("%s is there: %v", args[1], v)
	}
	if len(args) < 3 || args[2] == "*" {
		return
	}
	if len(args) == 4 {
		got, ok := v.(float64)
		want, err1 := strconv.ParseFloat(args[2], 64)
		tol, err2 := strconv.ParseFloat(args[3], 64)
		if !ok || err1 != nil || err2 != nil || !(math.Abs(got-want) <= tol) != neg {
			ts.Fatalf("%s: got %v, want %s within %s", args[1], v, args[2], args[3])
		}
		return
	}
	got := fmt.Sprint(v)
	if v == nil {
		got = "null"
	}
	if f, ok := v.(float64); ok {
		got = strconv.FormatFloat(f, 'g', -1, 64)
	}
	if (got == args[2]) == neg {
		ts.Fatalf("%s: got %s, want %s", args[1], got, args[2])
	}
}

// filesCommand: files DIR [NAME…] checks that a folder holds these files and
// no others: nothing was left behind.
func filesCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: files dir [name...]")
	}
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	var got []string
	for _, e := range entries {
		if e.Name() != ".home" && e.Name() != ".tmp" {
			got = append(got, e.Name())
		}
	}
	want := append([]string(nil), args[1:]...)
	sort.Strings(want)
	if fmt.Sprint(got) != fmt.Sprint(want) {
		ts.Fatalf("%s holds %v, want %v", args[0], got, want)
	}
}

// exitCommand: exit STATUS PROGRAM ARG… runs a program that must end with
// exactly that status.
func exitCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exit status program args...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	if err != nil {
		var e interface{ ExitCode() int }
		if !asExit(err, &e) {
			ts.Fatalf("%v", err)
		}
		got = e.ExitCode()
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit status got %d, want %s", got, args[0])
	}
}

func asExit(err error, to *interface{ ExitCode() int }) bool {
	for err != nil {
		if e, ok := err.(interface{ ExitCode() int }); ok {
			*to = e
			return true
		}
		u, ok := err.(interface{ Unwrap() error })
		if !ok {
			return false
		}
		err = u.Unwrap()
	}
	return false
}

// bytesCommand: bytes FILE KIND makes a file that text cannot hold.
func bytesCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: bytes file kind")
	}
	tetra := [][3][3]float32{
		{{0, 0, 0}, {0, 10, 0}, {10, 0, 0}}, {{0, 0, 0}, {10, 0, 0}, {0, 0, 10}},
		{{0, 0, 0}, {0, 0, 10}, {0, 10, 0}}, {{10, 0, 0}, {0, 10, 0}, {0, 0, 10}},
	}
	stl := func(count uint32, ts ...[3][3]float32) []byte {
		var b bytes.Buffer
		b.Write(make([]byte, 80))
		_ = binary.Write(&b, binary.LittleEndian, count)
		for _, t := range ts {
			_ = binary.Write(&b, binary.LittleEndian, [3]float32{})
			_ = binary.Write(&b, binary.LittleEndian, t)
			b.Write([]byte{0, 0})
		}
		return b.Bytes()
	}
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	var data []byte
	switch args[1] {
	case "tetra":
		data = stl(4, tetra...)
	case "truncated":
		data = stl(4, tetra...)[:200]
	case "count":
		data = stl(4_000_000_000, tetra...)
	case "nan":
		data = stl(1, [3][3]float32{{0, 0, 0}, {nan, 0, 0}, {0, 1, 0}})
	case "inf":
		data = stl(1, [3][3]float32{{0, 0, 0}, {inf, 0, 0}, {0, 1, 0}})
	case "zero":
		data = stl(0)
	case "flat":
		data = stl(2, [3][3]float32{{0, 0, 0}, {9, 0, 0}, {0, 9, 0}}, [3][3]float32{{9, 0, 0}, {9, 9, 0}, {0, 9, 0}})
	case "noise":
		for i := range 1000 {
			data = append(data, byte(i*i*7+i>>3))
		}
	default:
		ts.Fatalf("no kind %q", args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o666))
}
