package render

import (
	"bytes"
	"compress/zlib"
	"image"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"moldtally/render/figure"
)

func pdfOf(t *testing.T, s *Sheet, o PDFOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// readPDF reads a file as a viewer does: by its table of objects. It returns
// what each object says and, inflated, what its stream holds.
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
		if len(lines[2+i]) != 19 { // 20 bytes with its newline
			t.Fatalf("entry %d of the table is %q", i, lines[2+i])
		}
		at, _ := strconv.Atoi(lines[2+i][:10])
		rest := b[at:]
		head := []byte(strconv.Itoa(i) + " 0 obj\n")
		if !bytes.HasPrefix(rest, head) {
			t.Fatalf("object %d is not at %d", i, at)
		}
		rest = rest[len(head):]
		if k := bytes.Index(rest, []byte("stream\n")); k >= 0 && k < bytes.Index(rest, []byte("endobj")) {
			dict[i] = string(rest[:k])
			l := regexp.MustCompile(`/Length (\d+)`).FindSubmatch(rest[:k])
			size, _ := strconv.Atoi(string(l[1]))
			z, err := zlib.NewReader(bytes.NewReader(rest[k+7 : k+7+size]))
			if err != nil {
				t.Fatal(err)
			}
			raw, err := io.ReadAll(z)
			if err != nil {
				t.Fatal(err)
			}
			stream[i] = string(raw)
		} else {
			dict[i] = string(rest[:bytes.Index(rest, []byte("\nendobj"))])
		}
	}
	return dict, stream
}

// pdfText extracts the text in the order it was set, a line each.
func pdfText(t *testing.T, b []byte) (text string, pages int) {
	t.Helper()
	dict, stream := readPDF(t, b)
	ref := func(s, key string) int {
		m := regexp.MustCompile(key + ` (\d+) 0 R`).FindStringSubmatch(s)
		if m == nil {
			return 0
		}
		n, _ := strconv.Atoi(m[1])
		return n
	}
	var out []string
	for i := 1; i <= len(dict); i++ {
		if !strings.Contains(dict[i], "/Type /Page ") {
			continue
		}
		pages++
		chars := map[string]map[string]string{}
		for _, f := range regexp.MustCompile(`/(F\d) (\d+) 0 R`).FindAllStringSubmatch(dict[i], -1) {
			n, _ := strconv.Atoi(f[2])
			to := map[string]string{}
			for _, c := range regexp.MustCompile(`(?m)^<(....)> <(....)>$`).FindAllStringSubmatch(stream[ref(dict[n], "/ToUnicode")], -1) {
				u, _ := strconv.ParseUint(c[2], 16, 16)
				to[c[1]] = string(rune(u))
			}
			chars[f[1]] = to
		}
		for _, m := range regexp.MustCompile(`BT /(F\d) .*? Td <([0-9A-F]*)> Tj`).FindAllStringSubmatch(stream[ref(dict[i], "/Contents")], -1) {
			line := ""
			for k := 0; k < len(m[2]); k += 4 {
				c, ok := chars[m[1]][m[2][k:k+4]]
				if !ok {
					t.Errorf("code %s of %s has no character", m[2][k:k+4], m[1])
				}
				line += c
			}
			out = append(out, line)
		}
	}
	return strings.Join(out, "\n"), pages
}

func TestPDF(t *testing.T) {
	s := NewSheet(samplePlan(), SheetOptions{})
	im := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for i := range im.Pix {
		im.Pix[i] = uint8(7 * i)
	}
	b := pdfOf(t, s, PDFOptions{Picture: im})
	text, pages := pdfText(t, b)
	golden(t, "plan_pdf.txt", []byte(text+"\n"))
	if pages < 3 || pages > 6 {
		t.Errorf("%d pages", pages)
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
	// The picture comes back byte for byte.
	dict, stream := readPDF(t, b)
	found := false
	for i, d := range dict {
		if !strings.Contains(d, "/Subtype /Image") {
			continue
		}
		found = true
		row, raw := 40*3+1, stream[i]
		above := make([]byte, 40*3)
		for y := range 30 {
			for x := range 40 * 3 {
				above[x] += raw[y*row+1+x]
				if want := im.Pix[im.PixOffset(x/3, y)+x%3]; above[x] != want {
					t.Fatalf("row %d, byte %d: %d, want %d", y, x, above[x], want)
				}
			}
		}
	}
	if !found {
		t.Error("no picture")
	}
	if !bytes.Equal(b, pdfOf(t, s, PDFOptions{Picture: im})) {
		t.Error("a second time gives other bytes")
	}
}

// Nothing is set beyond the margins, whatever a client writes.
func TestPDFStaysOnPaper(t *testing.T) {
	p := samplePlan()
	p.Pattern.File = strings.Repeat("a-very-long-name-without-a-space", 6) + " Ελληνικά Кириллица 日本.stl"
	p.Cost.Lines[0].What = strings.Repeat("wide ", 60)
	p.Container.Boards[0].Name = strings.Repeat("x", 300)
	for _, o := range []PDFOptions{{}, {Paper: "letter"}} {
		_, stream := readPDF(t, pdfOf(t, NewSheet(p, SheetOptions{}), o))
		w, h := 595.28, 841.89
		if o.Paper == "letter" {
			w, h = 612, 792
		}
		for _, s := range stream {
			for _, m := range regexp.MustCompile(`BT /F(\d) (\S+) Tf (\S+) (\S+) Td <([0-9A-F]*)>`).FindAllStringSubmatch(s, -1) {
				wt, _ := strconv.Atoi(m[1])
				size, _ := strconv.ParseFloat(m[2], 64)
				x, _ := strconv.ParseFloat(m[3], 64)
				y, _ := strconv.ParseFloat(m[4], 64)
				f := typefaces()[wt]
				for k := 0; k < len(m[5]); k += 4 {
					g, _ := strconv.ParseUint(m[5][k:k+4], 16, 16)
					x += size * float64(u16(f.hmtx, 4*min(int(g), f.metrics-1))) / f.em
				}
				if x > w-pageMargin+1 || y < 15 || y > h-pageMargin/2 {
					t.Errorf("%+v: text ends at x %.0f, y %.0f of %.0f by %.0f", o, x, y, w, h)
				}
			}
		}
	}
	if err := WritePDF(io.Discard, &Sheet{}, PDFOptions{Paper: "napkin"}); err == nil {
		t.Error("printed on a napkin")
	}
	if _, pages := pdfText(t, pdfOf(t, &Sheet{}, PDFOptions{})); pages != 1 {
		t.Errorf("an empty sheet has %d pages", pages)
	}
}
