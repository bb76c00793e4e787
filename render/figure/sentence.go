package figure

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Capital begins a sentence, unless with the name of a file.
func Capital(s string) string {
	first, _, _ := strings.Cut(s, " ")
	if strings.Contains(strings.TrimRight(first, ".,:;"), ".") {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Sentence begins and ends one.
func Sentence(s string) string {
	s = Capital(strings.TrimSpace(s))
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// Direction words a unit vector of the file's own axes.
func Direction(d [3]float64) string {
	for i, name := range []string{"x", "y", "z"} {
		if math.Abs(math.Abs(d[i])-1) < 1e-9 {
			if d[i] > 0 {
				return "+" + name
			}
			return "-" + name
		}
	}
	return "(" + Trimmed(d[0], 3) + ", " + Trimmed(d[1], 3) + ", " + Trimmed(d[2], 3) + ")"
}

// Place words a point in the file's own frame: millimetres, for that is what
// the file's viewer shows.
func Place(p [3]float64) string {
	return "x" + NBSP + Fixed(p[0], 0) + ", y" + NBSP + Fixed(p[1], 0) + ", z" + NBSP + Fixed(p[2], 0) + NBSP + "mm"
}

// Join joins what is not empty.
func Join(sep string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, sep)
}
