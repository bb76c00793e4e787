package conf

import (
	"strings"
	"testing"
)

func TestReadGoesOn(t *testing.T) {
	tables, bad := Read(strings.Join([]string{
		"# a comment",            // 1
		"top = 1",                // 2
		"",                       // 3
		"[[rubber]]",             // 4
		"name = \"a\"",           // 5
		"sg == 1.1",              // 6 wrong
		"kits = [",               // 7
		"  { size_g = 1000 },",   // 8
		"]",                      // 9
		"name = \"b\"",           // 10 twice
		"[rubber",                // 11 wrong
		"[defaults]  # the shop", // 12
		"temp = ",                // 13 wrong
		"note = \"\"\"two",       // 14
		"lines\"\"\"",            // 15
		"[defaults]",             // 16 twice
		"open = \"no end",        // 17 wrong
		"last = true",            // 18
		"bad = [1, 2",            // 19 runs to the end
	}, "\r\n"))
	var lines []int
	for _, m := range bad {
		lines = append(lines, m.Line)
	}
	want := []int{6, 10, 11, 13, 16, 17, 19}
	if len(lines) != len(want) {
		t.Fatalf("got mistakes %v, want lines %v", bad, want)
	}
	for i := range want {
		if lines[i] != want[i] {
			t.Errorf("mistake %d: got %v, want line %d", i, bad[i], want[i])
		}
	}
	if len(tables) != 4 || tables[1].Name != "rubber" || tables[1].Line != 4 || tables[1].Get("kits").Line != 7 || tables[3].Get("last").Value != true {
		t.Errorf("got %+v", tables)
	}
	if tables[2].Get("note").Value != "two\r\nlines" && tables[2].Get("note").Value != "two\nlines" {
		t.Errorf("note: got %q", tables[2].Get("note").Value)
	}
}

func TestDecodeIsStrict(t *testing.T) {
	var v struct{ A int }
	if err := Decode("a = 1", &v); err != nil || v.A != 1 {
		t.Errorf("got %v, %v", v, err)
	}
	if err := Decode("a = 1\nb = 2", &v); err == nil {
		t.Error("an unknown key goes unnoticed")
	}
	if err := Decode("a = ", &v); err == nil {
		t.Error("a broken table goes unnoticed")
	}
}

func FuzzRead(f *testing.F) {
	f.Add("a = 1\n[[b]]\nc = [1,\n2]\n")
	f.Add("\ufeff[x]\ny=\"\"\"z\n")
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 2000 {
			return
		}
		tables, bad := Read(s)
		n := strings.Count(s, "\n") + 1
		for _, m := range bad {
			if m.Line < 1 || m.Line > n || m.What.Facts == nil {
				t.Errorf("line %d of %d", m.Line, n)
			}
		}
		for _, tb := range tables {
			for _, e := range tb.Entries {
				if e.Line < 1 || e.Line > n {
					t.Errorf("line %d of %d", e.Line, n)
				}
			}
		}
	})
}
