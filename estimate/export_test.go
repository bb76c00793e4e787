package estimate

import "moldtally/mesh/finding"

// told puts a finding in words; words_test.go, which may import them, fills it in.
var told func(f finding.Finding) (summary, effect, hint string)

// said puts facts in words, likewise.
var said func(facts any) string

// TellBy fills in told and said.
func TellBy(t func(finding.Finding) (summary, effect, hint string), s func(facts any) string) {
	told, said = t, s
}
