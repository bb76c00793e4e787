package main

import (
	"io"
	"slices"

	"moldtally/mesh/unit"
	"moldtally/render"
)

// quotable reports whether a quote has anything to say of what came of patterns: a
// price, or that a job is not done.
func quotable(entries []render.Entry) bool {
	return slices.ContainsFunc(entries, func(e render.Entry) bool { return e.Plan.Refused() || e.Plan != nil && e.Plan.Cost != nil })
}

// letterOf reports whether the report is one letter for several patterns: their warnings
// are counted together.
func (s *settings) letterOf(patterns []string) bool { return s.quote && !s.json && len(patterns) > 1 }

// quoteFiles settles where the papers of a quote go: one file for all patterns.
func (s *settings) quoteFiles(patterns []string, out *outputs) ([]wanted, error) {
	var files []wanted
	for _, f := range []struct{ flag, name, ext string }{{"pdf", s.pdf, ".pdf"}, {"html", s.html, ".html"}, {"csv", s.csv, ".csv"}} {
		if f.name == "" {
			continue
		}
		whole := "quote"
		if len(patterns) == 1 || s.shared(patterns) {
			whole = patterns[0]
		}
		t, err := (&outputs{patterns: out.patterns, taken: out.taken}).target("--"+f.flag, f.name, whole, f.ext)
		if err != nil {
			return nil, err
		}
		for _, w := range files {
			if sameFile(w.target, t) {
				return nil, usagef("give each its own name", "--%s and --%s name the same file", w.flag, f.flag)
			}
		}
		files = append(files, wanted{f.flag, t})
	}
	return files, nil
}

// writeQuote writes the papers of a quote, all or none; picture is the pattern's,
// where there is but one.
func (a *app) writeQuote(entries []render.Entry, picture []byte, s *settings, files []wanted) error {
	if len(files) == 0 || !quotable(entries) {
		return nil
	}
	o := s.quoteOptions()
	o.Full = false // papers go to the client
	sheet := render.NewQuote(entries, o)
	var b batch
	defer b.discard()
	for _, f := range files {
		write := s.paper(f.flag, sheet, picture)
		if f.flag == "csv" {
			write = func(w io.Writer) error { return render.WriteQuoteCSV(w, entries) }
		}
		if err := b.add(f.target, write); err != nil {
			return err
		}
	}
	return b.commit()
}

// quoteOptions is how a quote is worded.
func (s *settings) quoteOptions() render.QuoteOptions {
	return render.QuoteOptions{SheetOptions: render.SheetOptions{System: s.system}, Full: s.full}
}

// paper writes a sheet as pages, with a PNG; picture may be nil.
func (s *settings) paper(form string, sheet *render.Sheet, picture []byte) func(io.Writer) error {
	size := ""
	if s.system == unit.US {
		size = "letter"
	}
	if form == "pdf" {
		return func(w io.Writer) error {
			return render.WritePDF(w, sheet, render.PDFOptions{Paper: size, Picture: picture, PictureLast: s.quote})
		}
	}
	return func(w io.Writer) error {
		return render.WriteHTML(w, sheet, render.HTMLOptions{Paper: size, Picture: picture, PictureLast: s.quote})
	}
}

// notQuoted is a pattern for which no price is known.
func notQuoted(file string) error {
	return &failure{file + " cannot be quoted: no price is known", "nothing was priced",
		"say --price-per-kg and --currency, or start with a shop file: moldtally shop init --currency EUR"}
}
