// Package live is the page of moldtally serve: its frame, with the fields that a job is
// asked for by, and the results of a plan as parts that are put into it. What it says of
// a plan is the first screen and the sheet, in their words; it reckons nothing. The page
// asks nobody but the server that it came from.
package live

import (
	"bytes"
	"embed"
	"fmt"
	"html"
	"io"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

//go:embed page.css page.js view.js work.js three/three.module.js three/three.core.js three/OrbitControls.js three/LICENSE
var files embed.FS

// Policy is the Content-Security-Policy that the page works under: it runs its own
// scripts alone, asks its own server alone, and nobody may put it in a frame.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// Asset is a file that the page asks for by its name, and its type; ok is false for a
// name that it does not ask for.
func Asset(name string) (data []byte, kind string, ok bool) {
	file, known := map[string]string{"page.css": "page.css", "page.js": "page.js", "view.js": "view.js", "work.js": "work.js",
		"three.module.js": "three/three.module.js", "three.core.js": "three/three.core.js", "orbit.js": "three/OrbitControls.js", "three-license.txt": "three/LICENSE"}[name]
	if !known {
		return nil, "", false
	}
	data, err := files.ReadFile(file)
	if err != nil {
		return nil, "", false
	}
	if name == "orbit.js" {
		// A bare name wants an import map, and that is an inline script.
		data = bytes.Replace(data, []byte("from 'three'"), []byte("from './three.module.js'"), 1)
	}
	kinds := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".txt": "text/plain; charset=utf-8"}
	return data, kinds[path.Ext(name)], true
}

// Field is what a job is asked for by: one flag of the command line.
type Field struct {
	Flag    string
	Takes   string   // what stands for its value in help; "" = a switch
	Help    string   // its line in help
	Choices []string // the only words taken
	Offers  []string // words that are offered, where others are taken too
}

// Group are fields under a title.
type Group struct {
	Title  string
	Fields []Field
}

// Sample is a pattern that comes with the program.
type Sample struct{ Name, Title string }

// Form is what the page asks for.
type Form struct {
	Version string
	Groups  []Group // in the order of help
	Samples []Sample
	Accept  []string // endings of files that hold meshes
	Most    int64    // bytes that a file may have
}

type page struct{ bytes.Buffer }

func (p *page) printf(format string, a ...any) { fmt.Fprintf(p, format, a...) }

func esc(s string) string { return html.EscapeString(s) }

// WritePage writes the frame of the page.
func WritePage(w io.Writer, f Form) error {
	p := &page{}
	p.printf(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>moldtally</title>
<link rel="stylesheet" href="assets/page.css">
<link rel="icon" href="data:,">
<script type="module" src="assets/page.js"></script>
</head>
<body data-most="%d">
<a class="skip" href="#answer">To the answer</a>
<header class="top"><h1>moldtally</h1><p>Rubber molds from a pattern’s mesh, on your own machine</p></header>
<noscript><p class="needs">This page needs scripts. The same plan is had with: moldtally plan FILE</p></noscript>
<main>
`, f.Most)
	p.patterns(f)
	p.print("<div id=\"bench\" hidden>\n")
	p.ticket(f)
	p.print(bench)
	p.printf("</main>\n<footer><p>moldtally %s. Nothing leaves this machine. <a href=\"assets/three-license.txt\">three.js</a> draws the pattern.</p></footer>\n</body>\n</html>\n", esc(f.Version))
	_, err := w.Write(p.Bytes())
	return err
}

func (p *page) print(s string) { p.WriteString(s) }

// patterns is where files are dropped and the patterns at hand are listed.
func (p *page) patterns(f Form) {
	accept := make([]string, len(f.Accept))
	for i, a := range f.Accept {
		accept[i] = "." + a
	}
	p.printf(`<section id="patterns" aria-labelledby="patterns-title">
<h2 id="patterns-title">Pattern</h2>
<div id="drop"><p><label class="act" for="file">Choose a file</label><input id="file" type="file" multiple accept="%s"> or drop it anywhere on this page, or take a sample:`, esc(strings.Join(accept, ",")))
	for _, s := range f.Samples {
		p.printf(` <button type="button" class="quiet" data-sample="%s">%s</button>`, esc(s.Name), esc(s.Title))
	}
	p.print(`</p></div>
<ul id="shelf" aria-label="Patterns on the bench"></ul>
<p id="upload" role="status"></p>
</section>
`)
}

// bench is where a plan is shown.
const bench = `<section id="look" aria-labelledby="look-title">
<h2 id="look-title" class="unseen">The pattern in its container</h2>
<div id="stage" tabindex="0" role="application" aria-label="The pattern in its container. Arrow keys turn it, plus and minus bring it nearer, Shift with an arrow key shifts it, Home looks from where the words of the answer do." aria-describedby="scale-bar">
<div id="marks"></div>
<p id="scale-bar"><span></span><b></b></p>
</div>
<p id="no-view" hidden>This browser draws no 3D here; the picture stands in for it.</p>
<div class="knobs">
<label>Rubber round it <input type="range" id="wall" min="3" max="40" step="1"> <output id="wall-is" for="wall"></output></label>
<label>Cut through <input type="range" id="section" min="0" max="100" value="100" aria-label="Cut through the view"></label>
<label>Pull apart <input type="range" id="pull" min="0" max="100" value="0"></label>
<button type="button" id="film" class="quiet">Show the pull</button>
<button type="button" id="rest" class="quiet" aria-pressed="false">Rest a face on the board</button>
<button type="button" id="home" class="quiet">Look from the front</button>
</div>
<p id="told" role="status"></p>
<ul id="key" aria-label="Colors"></ul>
</section>
<div id="side">
<p id="busy" role="status" hidden><span></span> <progress max="1"></progress></p>
<div id="trouble" role="alert" hidden></div>
<section id="answer" aria-live="polite" aria-label="The answer"></section>
<p><button type="button" id="awake" class="quiet" aria-pressed="false">Keep the screen on</button></p>
</div>
<section id="ways" aria-label="Ways to mold it"></section>
<section id="papers" aria-label="Papers and files"></section>
<section id="command" aria-label="The same on the command line"></section>
<section id="sheet" aria-label="The whole sheet"></section>
</div>
`

// capital begins a text with a capital letter.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
