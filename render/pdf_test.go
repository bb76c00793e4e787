package render

import (
	"bytes"
	"compress/zlib"
	"image"
	"image/png"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"moldtally/estimate"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

func pdfOf(t *testing.T, s *Sheet, o PDFOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// readPDF reads a file by its table of objects, as a viewer does, and returns
// what each object says and, inflated where it is, what its stream holds.
func readPDF(t *testing.T, b []byte) (dict, stream map[int]string) {
	t.Helper()
	m := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(b)
	if m == nil {
		t.Fatal("no startxref")
	}
	start, _ := strconv.Atoi(string(m[1]))
	lines := strings.Split(string(b[start:]), "\n")
	if lines[0] != "xref" {
		t.Fatalf("startxref points at %q", lines[0])
	}
	n, _ := strconv.Atoi(strings.Fields(lines[1])[1])
	dict, stream = map[int]string{}, map[int]string{}
	for i := 1; i < n; i++ {
		at, _ := strconv.Atoi(lines[2+i][:10])
		rest, ok := strings.CutPrefix(string(b[at:]), strconv.Itoa(i)+" 0 obj\n")
		if !ok {
			t.Fatalf("object %d is not at %d", i, at)
		}
		k := strings.Index(rest, "stream\n")
		if k < 0 || k > strings.Index(rest, "endobj") {
			dict[i] = rest[:strings.Index(rest, "endobj")]
			continue
		}
		dict[i] = rest[:k]
		size, _ := strconv.Atoi(regexp.MustCompile(`/Length (\d+)`).FindStringSubmatch(rest[:k])[1])
		stream[i] = rest[k+7 : k+7+size]
		if strings.Contains(dict[i], "/FlateDecode") {
			z, err := zlib.NewReader(strings.NewReader(stream[i]))
			if err != nil {
				t.Fatal(err)
			}
			raw, err := io.ReadAll(z)
			if err != nil {
				t.Fatal(err)
			}
			stream[i] = string(raw)
		}
	}
	return dict, stream
}

// paperText is a line of text as it stands on paper: its font, its size and where
// it begins, in points from the lower left corner.
type paperText struct {
	font       string
	size, x, y float64
	text       string
}

// pdfText returns what is set, page by page.
func pdfText(t *testing.T, b []byte) (pages [][]paperText) {
	t.Helper()
	dict, stream := readPDF(t, b)
	op := regexp.MustCompile(`(?s)BT /(F\w+) (\S+) Tf ET|BT (\S+) (\S+) Td \(((?:[^\\)]|\\.)*)\) Tj ET`)
	plain := strings.NewReplacer(`\\`, `\`, `\(`, `(`, `\)`, `)`, `\r`, "\r")
	for i := 1; i <= len(dict); i++ {
		if !strings.Contains(dict[i], "/Type /Page\n") {
			continue
		}
		n, _ := strconv.Atoi(regexp.MustCompile(`/Contents (\d+) 0 R`).FindStringSubmatch(dict[i])[1])
		var page []paperText
		var now paperText
		for _, m := range op.FindAllStringSubmatch(stream[n], -1) {
			if m[1] != "" {
				now.font = m[1]
				now.size, _ = strconv.ParseFloat(m[2], 64)
				continue
			}
			now.x, _ = strconv.ParseFloat(m[3], 64)
			now.y, _ = strconv.ParseFloat(m[4], 64)
			var codes []uint16
			for s := plain.Replace(m[5]); len(s) > 1; s = s[2:] {
				codes = append(codes, uint16(s[0])<<8|uint16(s[1]))
			}
			now.text = string(utf16.Decode(codes))
			page = append(page, now)
		}
		pages = append(pages, page)
	}
	return pages
}

func TestPDF(t *testing.T) {
	s := NewSheet(samplePlan(), SheetOptions{})
	im := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for i := range im.Pix {
		im.Pix[i] = uint8(7*i) | 255*uint8(i%4/3) // opaque
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, im); err != nil {
		t.Fatal(err)
	}
	o := PDFOptions{Picture: picture.Bytes()}
	b := pdfOf(t, s, o)
	pages := pdfText(t, b)
	var lines []string
	for _, p := range pages {
		for _, l := range p {
			lines = append(lines, l.text)
		}
	}
	text := strings.Join(lines, "\n")
	golden(t, "plan_pdf.txt", []byte(text+"\n"))
	if len(pages) < 3 || len(pages) > 6 {
		t.Errorf("%d pages", len(pages))
	}
	flow := strings.Join(strings.Fields(strings.ReplaceAll(text, figure.NBSP, " ")), " ")
	for _, sec := range s.Sections {
		for _, r := range sec.Rows {
			for _, w := range []string{r.Label, figure.Tie(r.Value, r.Unit), r.Other} {
				if w = strings.Join(strings.Fields(strings.ReplaceAll(w, figure.NBSP, " ")), " "); !strings.Contains(flow, w) {
					t.Errorf("the paper lacks %q", w)
				}
			}
		}
	}
	dict, _ := readPDF(t, b)
	found := false
	for _, d := range dict {
		found = found || strings.Contains(d, "/Subtype /Image") && strings.Contains(d, "/Width 40") && strings.Contains(d, "/Height 30")
	}
	if !found {
		t.Error("no picture")
	}
	for range 20 { // no map order, no clock
		if !bytes.Equal(b, pdfOf(t, s, o)) {
			t.Fatal("another time gives other bytes")
		}
	}
	if err := WritePDF(io.Discard, s, PDFOptions{Picture: []byte("no picture")}); err == nil {
		t.Error("set something that is no picture")
	}
}

// The fonts are in the file, cut down to the letters in use, under names that
// say so; all characters have their Unicode.
func TestPDFFonts(t *testing.T) {
	dict, stream := readPDF(t, pdfOf(t, NewSheet(samplePlan(), SheetOptions{}), PDFOptions{}))
	fonts := 0
	for i, d := range dict {
		if !strings.Contains(d, "/Subtype /Type0") {
			continue
		}
		fonts++
		m := regexp.MustCompile(`/BaseFont /([A-Z]{6}\+Go\w+)`).FindStringSubmatch(d)
		if m == nil {
			t.Fatalf("no subset: %s", d)
		}
		to, _ := strconv.Atoi(regexp.MustCompile(`/ToUnicode (\d+) 0 R`).FindStringSubmatch(d)[1])
		if !strings.Contains(stream[to], "beginbfrange") {
			t.Errorf("%s says not what its codes stand for", m[1])
		}
		// The library writes a font's objects one after the other.
		file := stream[i+6]
		if full := len(typeface.Regular.TTF()); len(file) < 1000 || len(file) > full/2 {
			t.Errorf("%s: %d bytes embedded of about %d", m[1], len(file), full)
		}
	}
	if fonts != 3 {
		t.Errorf("%d fonts, want 3", fonts)
	}
}

// Nothing is set beyond the margins, whatever a client writes.
func TestPDFStaysOnPaper(t *testing.T) {
	p := samplePlan()
	p.Pattern.File = strings.Repeat("a-very-long-name-without-a-space", 6) + " Ελληνικά Кириллица 日本 \U0001F600.stl"
	p.Cost.Lines[0].What = estimate.Bought{Kind: estimate.BoughtTube, Name: strings.Repeat("wide (\\) ", 60)}
	p.Container.Boards[0].Part.Stock = strings.Repeat("x", 300)
	for _, o := range []PDFOptions{{}, {Paper: "letter"}} {
		size := paperSizes[o.Paper]
		d, err := newDocument(size, nil)
		if err != nil {
			t.Fatal(err)
		}
		b := pdfOf(t, NewSheet(p, SheetOptions{}), o)
		dict, _ := readPDF(t, b)
		face := map[string]typeface.Face{}
		for _, d := range dict {
			for _, m := range regexp.MustCompile(`/(F\w+) (\d+) 0 R`).FindAllStringSubmatch(d, -1) {
				n, _ := strconv.Atoi(m[2])
				for f, name := range []string{"GoRegular", "GoMedium", "GoBold"} {
					if strings.Contains(dict[n], "+"+name) {
						face[m[1]] = typeface.Face(f)
					}
				}
			}
		}
		for _, page := range pdfText(t, b) {
			for _, l := range page {
				if x := l.x + d.width(l.text, face[l.font], l.size); x > size.Wd-pageMargin+1 || l.y < 15 || l.y > size.Ht-pageMargin/2 {
					t.Errorf("%+v: %q ends at x %.0f, y %.0f of %.0f by %.0f", o, l.text, x, l.y, size.Wd, size.Ht)
				}
			}
		}
	}
	if err := WritePDF(io.Discard, &Sheet{}, PDFOptions{Paper: "napkin"}); err == nil {
		t.Error("printed on a napkin")
	}
	if pages := pdfText(t, pdfOf(t, &Sheet{}, PDFOptions{})); len(pages) != 1 {
		t.Errorf("an empty sheet has %d pages", len(pages))
	}
}
