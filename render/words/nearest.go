package words

import (
	"slices"
	"strings"
)

// mostMeant is how many names one word may have meant; more are no help.
const mostMeant = 5

// Nearest is the name that was probably meant, whatever its case: those of which
// the word is a part, as clay is of oil-clay; else the first of those known with the
// fewest letters to change, two at most and one of a short word; or else the only one
// that begins so. "" = none is near.
func Nearest(name string, known []string) string {
	name = strings.ToLower(name)
	if all := partOf(name, known); len(all) > 0 && len(all) <= mostMeant {
		last := len(all) - 1
		return strings.TrimPrefix(strings.Join(all[:last], ", ")+" or "+all[last], " or ")
	}
	best, least := "", min(2, max(1, len(name)/3))+1
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

// partOf are the names of which a word is a part between hyphens.
func partOf(word string, known []string) (all []string) {
	for _, k := range known {
		if slices.Contains(strings.Split(strings.ToLower(k), "-"), word) {
			all = append(all, k)
		}
	}
	return all
}

// distance counts the letters to change, add, drop or swap with the next (F. J.
// Damerau, 1964; V. Levenshtein, 1966).
func distance(a, b string) int {
	rows := [3][]int{} // of the letters of a: the one before the last, the last, this
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
	}
	for j := range rows[2] {
		rows[2][j] = j
	}
	for i := range len(a) {
		rows[0], rows[1], rows[2] = rows[1], rows[2], rows[0]
		rows[2][0] = i + 1
		for j := range len(b) {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			d := min(rows[1][j]+change, rows[1][j+1]+1, rows[2][j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				d = min(d, rows[0][j-1]+1)
			}
			rows[2][j+1] = d
		}
	}
	return rows[2][len(b)]
}
