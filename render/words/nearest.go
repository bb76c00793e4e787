package words

import "strings"

// Nearest is the name that was probably meant, whatever its case: the first of
// those known with the fewest letters to change, two at most, or else the only
// one that begins so; "" = none is near.
func Nearest(name string, known []string) string {
	name = strings.ToLower(name)
	best, least := "", 3
	for _, k := range known {
		if d := distance(name, strings.ToLower(k)); d < least && d < len(k) {
			best, least = k, d
		}
	}
	if best != "" || len(name) < 2 {
		return best
	}
	for _, k := range known {
		if strings.HasPrefix(strings.ToLower(k), name) {
			if best != "" {
				return ""
			}
			best = k
		}
	}
	return best
}

// distance counts the letters to change, add or drop (V. Levenshtein, 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diag := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			diag, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, diag+cost)
		}
	}
	return row[len(b)]
}
