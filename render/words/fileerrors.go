package words

import (
	"strconv"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/meshfile"
)

var fileFaults = []fault{
	faults(func(_ voice, e *meshfile.Error) Fault {
		b := brokenFiles[e.Fault]
		if b.hint == decimals {
			b.hint = exportAnew
			if word, ok := e.Args[0].(string); ok && strings.Contains(word, ",") {
				b.hint = "it was written with decimal commas: " + exportAnew + ", or with the system set to decimal points"
			}
		}
		says := fill(b.says, e)
		switch {
		case e.Line > 0:
			says = e.File + ", line " + grouped(int64(e.Line)) + ": " + says
		case !strings.Contains(b.says, "{file}"):
			says = e.File + " " + says
		}
		return Fault{Told: Told{says, b.effect, b.hint}}
	}),
}

// fill puts what a fault rests on in its sentence: {1} is its first argument, a
// count or a quoted piece of the file; {1 plain} a number that counts nothing,
// {1 bytes} a size, {1 s} the s of a plural, {1 bare} a piece without quotes.
func fill(says string, e *meshfile.Error) string {
	pairs := []string{"{file}", e.File}
	for i, a := range e.Args {
		k := "{" + whole(i+1)
		switch a := a.(type) {
		case int64:
			s := "s"
			if a == 1 {
				s = ""
			}
			pairs = append(pairs, k+"}", grouped(a), k+" plain}", strconv.FormatInt(a, 10), k+" bytes}", bytesize(a), k+" s}", s)
		case string:
			pairs = append(pairs, k+"}", `"`+printable(a)+`"`, k+" bare}", printable(a))
		case mesh.Vec:
			pairs = append(pairs, k+"}", sig(3)(a.X)+", "+sig(3)(a.Y)+", "+sig(3)(a.Z))
		case error:
			pairs = append(pairs, k+"}", a.Error())
		}
	}
	return strings.NewReplacer(pairs...).Replace(says)
}

// printable makes a piece of a file safe to show: short, one line, printable.
func printable(s string) string {
	const most = 24
	end := ""
	if len(s) > most {
		s, end = s[:most], "…"
	}
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffd || r == '"' {
			return '?'
		}
		return r
	}, s) + end
}

// bytesize writes a size.
func bytesize(n int64) string {
	switch {
	case n < 10_000:
		return many(n, "byte")
	case n < 10_000_000:
		return grouped(n/1000) + " kB"
	}
	return grouped(n/1_000_000) + " MB"
}

// brokenFile is what a fault does to the job, what to do, and what is so.
type brokenFile struct{ effect, hint, says string }

// The same few effects and hints everywhere. Of decimals the hint is that of a
// file written with decimal commas, if it was. The tolerance for exact surfaces,
// 0.05 mm, is a tenth of what rubber shows as a facet edge on a curve (common
// practice, no source).
const (
	noSurface   = "without a surface there is no volume, so no rubber can be worked out"
	partMissing = "a part of the surface is missing, so any volume worked out from the rest would be wrong"
	notTrusted  = "the surface cannot be trusted, so nothing was worked out from it"
	notRead     = "nothing was read, to keep this machine usable"

	copyAgain    = "copy or download the file again; if it is the same, export it anew from the program it was made in"
	copyWhole    = "copy or download the file again: the transfer probably stopped early; if it is the same, export it anew"
	decimals     = ""
	exportAnew   = "export it anew from the program it was made in, as binary STL or 3MF"
	fromCAD      = "open it in a CAD program and export it as STL or 3MF, with a tolerance of about 0.05 mm"
	meshPoints   = "mesh the points first (surface reconstruction in the scanning program), then " + otherFormat
	noDepth      = "a picture has no depth to measure: scan or model the pattern and " + otherFormat
	openModel    = "open it in a modelling program and " + otherFormat
	otherFormat  = "export the pattern as STL, OBJ, PLY, OFF, 3MF or glTF"
	uncompressed = "switch mesh compression off in the exporter's glTF options and export again, or export as binary STL or 3MF"
	unpackIt     = "unpack it and name the mesh file inside"
)

// brokenFiles has the words of every fault of a file.
var brokenFiles = map[meshfile.Fault]brokenFile{
	"open.folder":       {noSurface, "name the pattern file inside it", "is a folder, not a file"},
	"open.not-ordinary": {noSurface, "name a pattern file, or pass it on standard input with -", "is not an ordinary file"},
	"open.missing":      {noSurface, "check the spelling and the folder", "there is no file {file} here"},
	"open.forbidden":    {noSurface, "change its permissions, or copy it to a folder of your own", "may not be read by this user"},
	"open.failed":       {noSurface, "check the name and the disk it lies on", "cannot be opened: {1}"},
	"open.read":         {partMissing, "check the disk, stick or network folder it lies on, and copy the file again", "cannot be read to its end: {1}"},

	"mesh.builder":  {notRead, exportAnew, "{1}"},
	"mesh.empty":    {noSurface, exportAnew, "holds no triangles"},
	"mesh.far":      {notTrusted, exportAnew, "has a corner at {1}: farther out than any pattern can be"},
	"mesh.too-many": {notRead, "reduce the number of triangles in the program it was made in, or allow more with --max-triangles", "has more than {1} triangles"},

	"foreign.text":            {noSurface, otherFormat, "is text, but none of the mesh files read here (STL, OBJ, PLY, OFF, 3MF, glTF)"},
	"foreign.json":            {noSurface, otherFormat, "is a JSON file, but no glTF scene"},
	"foreign.empty":           {noSurface, copyAgain, "is empty (0 bytes)"},
	"foreign.riff":            {noSurface, otherFormat, "is a picture, sound or film"},
	"foreign.film-or-picture": {noSurface, otherFormat, "is a film or picture"},
	"foreign.bmp":             {noSurface, noDepth, "is a picture (BMP)"},
	"foreign.blank":           {noSurface, copyAgain, "holds nothing but blanks"},
	"foreign.step":            {noSurface, fromCAD, "is a STEP file: exact surfaces, not triangles"},
	"foreign.iges":            {noSurface, fromCAD, "is an IGES file: exact surfaces, not triangles"},
	"foreign.dxf":             {noSurface, "open it in a CAD program and export the solid as STL or 3MF", "is a DXF drawing"},
	"foreign.vrml":            {noSurface, openModel, "is a VRML scene, which is not read here"},
	"foreign.xml":             {noSurface, otherFormat, "is an XML document but no mesh"},
	"foreign.utf16":           {noSurface, "save it as plain text (UTF-8), or " + otherFormat, "is text with two bytes per letter (UTF-16)"},
	"foreign.unknown":         {noSurface, otherFormat, "is none of the mesh files read here (STL, OBJ, PLY, OFF, 3MF, glTF)"},
	"foreign.png":             {noSurface, noDepth, "is a picture (PNG)"},
	"foreign.jpeg":            {noSurface, noDepth, "is a picture (JPEG)"},
	"foreign.gif":             {noSurface, noDepth, "is a picture (GIF)"},
	"foreign.tiff":            {noSurface, noDepth, "is a picture (TIFF)"},
	"foreign.layers":          {noSurface, noDepth, "is a layered picture"},
	"foreign.pdf":             {noSurface, "a drawing cannot be measured as a solid: ask for the model and " + otherFormat, "is a PDF document"},
	"foreign.postscript":      {noSurface, "a drawing cannot be measured as a solid: ask for the model and " + otherFormat, "is a PostScript document"},
	"foreign.dwg":             {noSurface, "open it in a CAD program and export the solid as STL or 3MF", "is a CAD drawing (DWG)"},
	"foreign.7z":              {noSurface, unpackIt, "is a compressed archive (7z)"},
	"foreign.rar":             {noSurface, unpackIt, "is a compressed archive (RAR)"},
	"foreign.xz":              {noSurface, unpackIt, "is compressed (xz)"},
	"foreign.bzip2":           {noSurface, unpackIt, "is compressed (bzip2)"},
	"foreign.zstd":            {noSurface, unpackIt, "is compressed (zstd)"},
	"foreign.fbx":             {noSurface, openModel, "is an FBX scene"},
	"foreign.work-file":       {noSurface, "open it in that program and " + otherFormat, "is a modelling program's own working file"},
	"foreign.las":             {noSurface, meshPoints, "is a laser-scan point cloud (LAS)"},
	"foreign.e57":             {noSurface, meshPoints, "is a laser-scan point cloud (E57)"},
	"foreign.pcd":             {noSurface, meshPoints, "is a point cloud (PCD)"},
	"foreign.program":         {noSurface, otherFormat, "is a program"},
	"foreign.office":          {noSurface, otherFormat, "is an office document"},
	"foreign.ogg":             {noSurface, otherFormat, "is a sound or film"},
	"foreign.sound":           {noSurface, otherFormat, "is a sound"},
	"foreign.film":            {noSurface, otherFormat, "is a film"},
	"foreign.collada":         {noSurface, openModel, "is a COLLADA scene, which is not read here"},
	"foreign.amf":             {noSurface, "open it in a slicing or modelling program and " + otherFormat, "is an AMF file, which is not read here"},
	"foreign.x3d":             {noSurface, openModel, "is an X3D scene, which is not read here"},
	"foreign.svg":             {noSurface, "a flat drawing has no depth: make a solid of it and " + otherFormat, "is a drawing (SVG)"},
	"foreign.3mf-part":        {noSurface, "name the 3MF file itself, not the part that was unpacked from it", "is the inner part of a 3MF file"},
	"foreign.web-page":        {noSurface, "the download probably failed and left an error page: open it in a browser, then fetch the model again", "is a web page"},

	"archive.bomb":        {notRead, "unpack it yourself if you trust where it comes from; " + exportAnew, "expands to more than {1 plain} times its size, which no mesh does"},
	"archive.cut":         {partMissing, copyWhole, "is cut off: its compressed content does not end"},
	"archive.damaged":     {notTrusted, copyAgain, "is damaged: its compressed content does not unpack"},
	"archive.nested":      {notRead, unpackIt, "holds an archive in an archive in an archive"},
	"archive.gzip-head":   {notTrusted, copyAgain, "is damaged: it begins as a gzip file but does not unpack"},
	"archive.no-contents": {partMissing, copyWhole, "is cut off or damaged: it begins as a zip archive (as 3MF files do), but its table of contents is missing"},
	"archive.several":     {noSurface, "unpack it and name the file that is the pattern", "is an archive of {1} mesh files"},
	"archive.empty":       {noSurface, copyAgain, "is an archive with nothing in it"},
	"archive.package":     {noSurface, otherFormat, "is an office document or another kind of package, not a mesh"},
	"archive.no-mesh":     {noSurface, "unpack it and name the mesh file inside, if there is one; else " + otherFormat, "is an archive of {1} file{1 s}, none of them a mesh"},
	"archive.locked":      {noSurface, "unpack it with its password and name the mesh file inside", "is an archive locked with a password"},
	"archive.packing":     {notTrusted, "unpack it with another program and name the mesh file inside", "is packed in a way that is not read here"},

	"parts.deep":      {notRead, exportAnew, "has parts within parts, more than {1} deep"},
	"parts.repeated":  {notRead, "export the pattern as one part, as binary STL", "repeats its parts more than {1} times"},
	"parts.triangles": {notRead, "export the pattern as one part, as binary STL", "repeats its parts so often that more than {1} triangles come out"},

	"points.columns": {noSurface, meshPoints, "looks like a list of points, without the surface between them"},
	"points.cloud":   {noSurface, meshPoints, "is a point cloud: {1} point{1 s}, but no surface between them"},

	"text.nan":          {notTrusted, exportAnew, "a corner's place is not a number"},
	"text.line-long":    {noSurface, exportAnew, "has a line longer than any in a mesh file can be"},
	"text.corner-range": {notTrusted, exportAnew, "a face names corner {1 plain}, but the file has {2} corner{2 s}, counted from 0"},
	"text.nan-word":     {notTrusted, exportAnew, "a corner's place is not a number ({1})"},
	"text.numbers-few":  {notTrusted, copyWhole, "a corner needs three numbers and has fewer"},
	"text.number":       {notTrusted, decimals, "a corner needs three numbers, but here stands {1}"},
	"text.wants-number": {notTrusted, decimals, "a number should stand here, not {1}"},
	"text.wants-whole":  {notTrusted, decimals, "a whole number should stand here, not {1}"},
	"text.wants-corner": {notTrusted, decimals, "a corner's number should stand here, not {1}"},

	"head.cut": {partMissing, copyWhole, "is cut off: it ends in its head"},

	"binary.nan": {notTrusted, exportAnew, "has a corner whose place is not a number, {1 plain} % into the file"},

	"stl.head-cut":      {partMissing, copyWhole, "is cut off: a binary STL has a head of 84 bytes, the file holds {1} byte{1 s}"},
	"stl.cut-at-head":   {partMissing, copyWhole, "is cut off: the header promises {1} triangle{1 s}, the file holds none"},
	"stl.promised":      {partMissing, copyWhole, "is cut off: the header promises {1} triangle{1 s}, the file holds {2}"},
	"stl.no-facet-ends": {noSurface, exportAnew, "begins like a text STL, but no facet in it ends"},
	"stl.cut":           {partMissing, copyWhole, "is cut off: it ends in the middle of a facet, after {1} whole triangle{1 s}"},
	"stl.no-triangles":  {noSurface, exportAnew, "begins like a text STL but holds no triangles"},
	"stl.corners-few":   {notTrusted, exportAnew, "a facet has fewer than three corners"},
	"stl.word":          {notTrusted, exportAnew, "{1} does not belong into a text STL"},

	"obj.line-long":     {noSurface, exportAnew, "has a line longer than any OBJ line can be"},
	"obj.free-form":     {noSurface, "have the program that made it convert the surfaces to a mesh, and export again", "describes free-form surfaces, not triangles"},
	"obj.only-lines":    {noSurface, meshPoints, "has corners and lines but no face"},
	"obj.no-face":       {noSurface, exportAnew, "is an OBJ file without a face"},
	"obj.corner-before": {notTrusted, exportAnew, "a face counts back to a corner before the first"},
	"obj.corner-range":  {notTrusted, copyWhole, "a face names corner {1}, but the file has {2}"},
	"obj.corner-zero":   {notTrusted, exportAnew, "a face names corner 0, but the first one is number 1"},
	"obj.corner-word":   {notTrusted, exportAnew, "a face should name corners by number, but here stands {1}"},

	"ply.list-empty":      {notTrusted, exportAnew, "has a header with an empty list ({1})"},
	"ply.rows-promised":   {partMissing, copyWhole, "is cut off: the header promises {1} rows of {2}, the file can hold {3}"},
	"ply.rows-cut":        {partMissing, copyWhole, "is cut off: the header promises {1} rows of {2}, the file holds {3}"},
	"ply.no-corners":      {noSurface, exportAnew, "has no corners (a PLY list called vertex with x, y and z)"},
	"ply.list-length":     {notTrusted, exportAnew, "has a list with {1 plain} entries"},
	"ply.no-xyz":          {noSurface, exportAnew, "has corners without x, y and z"},
	"ply.index-kind":      {notTrusted, exportAnew, "names the corners of its faces by fractions"},
	"ply.corner-number":   {notTrusted, exportAnew, "has a face that names corner {1 plain}"},
	"ply.corner-range":    {notTrusted, exportAnew, "has a face that names corner {1 plain}, but the file has {2} corner{2 s}, counted from 0"},
	"ply.head-cut":        {noSurface, copyWhole, "is cut off: its head does not end"},
	"ply.format-missing":  {noSurface, exportAnew, "the format is missing"},
	"ply.format-unknown":  {noSurface, exportAnew, "the PLY format {1} is not known"},
	"ply.list-form":       {noSurface, exportAnew, "a list needs a name and a count"},
	"ply.list-rows":       {noSurface, exportAnew, "a list cannot have {1} rows"},
	"ply.lists-many":      {noSurface, exportAnew, "there are more than 1000 lists"},
	"ply.property-first":  {noSurface, exportAnew, "a property stands before the first list"},
	"ply.list-type":       {noSurface, exportAnew, "a list of {1} counted by {2} is not known"},
	"ply.number-type":     {noSurface, exportAnew, "the number type {1} is not known"},
	"ply.property-form":   {noSurface, exportAnew, "a property needs a type and a name"},
	"ply.properties-many": {noSurface, exportAnew, "a list has more than 10 000 properties"},
	"ply.no-format":       {noSurface, exportAnew, "the head does not say the format"},
	"ply.head-word":       {noSurface, exportAnew, "{1} does not belong into the head of a PLY file"},

	"off.dimensions":       {noSurface, otherFormat, "is an OFF file in more than three dimensions"},
	"off.no-face":          {noSurface, meshPoints, "has corners and edges but no face"},
	"off.counts":           {partMissing, copyWhole, "is cut off: the header promises {1} corner{1 s} and {2} face{2 s}, more than {3 bytes} can hold"},
	"off.corners-cut":      {partMissing, copyWhole, "is cut off: the header promises {1} corner{1 s}, the file holds {2}"},
	"off.infinite":         {notTrusted, exportAnew, "a corner lies infinitely far away"},
	"off.faces-cut":        {partMissing, copyWhole, "is cut off: the header promises {1} face{1 s}, the file holds {2}"},
	"off.face-corners":     {notTrusted, exportAnew, "a face with {1 plain} corners cannot be"},
	"off.binary":           {noSurface, "export it as text OFF, or as STL, PLY or 3MF", "is a binary OFF file, which is not read here"},
	"off.wants-coordinate": {notTrusted, decimals, "a corner's coordinate should stand here, not {1}"},
	"off.wants-face-size":  {notTrusted, decimals, "a face's number of corners should stand here, not {1}"},
	"off.wants-corners":    {notTrusted, decimals, "the number of corners should stand here, not {1}"},
	"off.wants-faces":      {notTrusted, decimals, "the number of faces should stand here, not {1}"},
	"off.wants-edges":      {notTrusted, decimals, "the number of edges should stand here, not {1}"},
	"off.corners-negative": {notTrusted, exportAnew, "gives the number of corners as {1 plain}"},
	"off.faces-negative":   {notTrusted, exportAnew, "gives the number of faces as {1 plain}"},
	"off.edges-negative":   {notTrusted, exportAnew, "gives the number of edges as {1 plain}"},

	"gltf.glb-version":         {noSurface, "export it as glTF 2.0, or as STL or 3MF", "is written in version {1 plain} of GLB; only version 2 is read"},
	"gltf.cut":                 {partMissing, copyWhole, "is cut off: the header promises {1 bytes}, the file holds {2 bytes}"},
	"gltf.no-description":      {notTrusted, copyAgain, "is damaged: its description is missing or longer than the file"},
	"gltf.part-cut":            {partMissing, copyWhole, "is cut off: a part of it is longer than the file"},
	"gltf.entries":             {notRead, exportAnew, "has a description of {1} entries, which is not a mesh's"},
	"gltf.description-cut":     {partMissing, copyWhole, "is cut off: its description does not end"},
	"gltf.description-damaged": {notTrusted, exportAnew, "is damaged: its description is not valid glTF"},
	"gltf.version":             {noSurface, "export it as glTF 2.0, or as STL or 3MF", "is written in version {1} of glTF; only version 2 is read"},
	"gltf.no-surface":          {noSurface, exportAnew, "is a scene without a surface"},
	"gltf.extension":           {noSurface, "export it without that extension, or as STL or 3MF", "says that it cannot be understood without an extension that is not read here ({1 bare})"},
	"gltf.compressed":          {noSurface, uncompressed, "has its mesh compressed ({1 bare}), which is not read here"},
	"gltf.no-list":             {notTrusted, exportAnew, "refers to a list of numbers that is not there"},
	"gltf.list-length":         {notTrusted, exportAnew, "has a list of {1 plain} numbers"},
	"gltf.list-kind":           {notTrusted, exportAnew, "has a list whose entries are not numbers or places"},
	"gltf.list-empty":          {partMissing, uncompressed, "has a list of {1} corners without the numbers themselves"},
	"gltf.changes-many":        {notTrusted, exportAnew, "changes more numbers than there are"},
	"gltf.changes-kind":        {notTrusted, exportAnew, "names the numbers it changes by something other than whole numbers"},
	"gltf.no-view":             {notTrusted, exportAnew, "refers to a piece of its data that is not there"},
	"gltf.no-buffer":           {notTrusted, exportAnew, "refers to data that is not there"},
	"gltf.view-range":          {notTrusted, copyAgain, "has data that reaches beyond its end"},
	"gltf.stride":              {notTrusted, exportAnew, "has data whose entries overlap"},
	"gltf.list-range":          {notTrusted, copyAgain, "promises more numbers than its data holds"},
	"gltf.buffer-length":       {notTrusted, exportAnew, "has data of {1 plain} bytes"},
	"gltf.no-data":             {partMissing, copyWhole, "lacks the data its description speaks of"},
	"gltf.embedded":            {notTrusted, copyAgain, "has embedded data that does not decode"},
	"gltf.buffer-cut":          {partMissing, copyWhole, "is cut off: its description promises {1 bytes} of data, there are {2 bytes}"},
	"gltf.side-drive":          {notRead, "put the data file beside it and export again, or export as GLB", "points to a file on a particular drive ({1 bare})"},
	"gltf.side-remote":         {notRead, "export it with its data inside, as GLB", "points outside this computer for its data ({1 bare}); nothing is fetched"},
	"gltf.side-unknown":        {partMissing, "name the .gltf file in its own folder, or export it as GLB, which holds everything in one file", "keeps its data in another file ({1 bare}), which is not at hand"},
	"gltf.side-outside":        {notRead, "put the data file beside it and export again, or export as GLB", "points to a file outside its own folder ({1 bare})"},
	"gltf.side-kind":           {partMissing, "export it as GLB, which holds everything in one file", "keeps its data in {1 bare}, which is not an ordinary file"},
	"gltf.side-missing":        {partMissing, "ask for that file too and put it in the same folder, or ask for a GLB, which holds everything in one file", "keeps its data in another file, {1 bare}, which is missing"},
	"gltf.side-closed":         {notRead, "put the data file itself beside it, or export as GLB", "keeps its data in {1 bare}, which cannot be opened from its own folder"},
	"gltf.numbers":             {notTrusted, exportAnew, "has numbers that cannot be read"},
	"gltf.changes-order":       {notTrusted, exportAnew, "changes numbers that are not there, or out of order"},
	"gltf.corner-kind":         {notTrusted, exportAnew, "has corners that are not three numbers each"},
	"gltf.index-kind":          {notTrusted, exportAnew, "names the corners of its triangles by something other than whole numbers"},
	"gltf.no-scene":            {notTrusted, exportAnew, "opens with a scene that is not there"},
	"gltf.circle":              {notTrusted, exportAnew, "has parts that contain each other in a circle"},
	"gltf.no-part":             {notTrusted, exportAnew, "places a part that is not there"},
	"gltf.part-twice":          {notTrusted, exportAnew, "has a part that is contained in itself or in two others"},
	"gltf.no-mesh":             {notTrusted, exportAnew, "places a mesh that is not there"},
	"gltf.place-nan":           {notTrusted, exportAnew, "has a corner whose place is not a number"},
	"gltf.corner-range":        {notTrusted, exportAnew, "has a triangle that names corner {1 plain} of a part with {2} corner{2 s}, counted from 0"},

	"3mf.unit":              {notTrusted, exportAnew, "states the unit {1}, which 3MF does not have"},
	"3mf.lattice":           {noSurface, "have the program that made it turn the lattice into a mesh, and export again", "describes a lattice of beams without a surface"},
	"3mf.slices":            {noSurface, "export the model itself as 3MF or STL, not what was sliced for the printer", "holds sliced layers without a surface"},
	"3mf.model-missing":     {partMissing, copyAgain, "names {1} as its model, which is not in the package"},
	"3mf.no-model":          {noSurface, exportAnew, "is a package without a model"},
	"3mf.no-part":           {partMissing, copyAgain, "refers to a part {1} that is not in the package"},
	"3mf.no-object":         {partMissing, exportAnew, "places object {1 plain}, which is not there"},
	"3mf.circle":            {notTrusted, exportAnew, "has an object that is a part of itself"},
	"3mf.parts-many":        {notRead, exportAnew, "places more than {1} parts"},
	"3mf.moved-far":         {notTrusted, exportAnew, "moves a part farther out than any pattern can be"},
	"3mf.model-kind":        {notTrusted, exportAnew, "has a model part that is no 3MF model"},
	"3mf.extension":         {noSurface, "export it without that extension, as plain 3MF with a mesh, or as STL", "says that it cannot be understood without an extension that is not read here ({1 bare})"},
	"3mf.objects-many":      {notRead, exportAnew, "has more than {1} objects"},
	"3mf.object-number":     {notTrusted, exportAnew, "has an object whose number is {1}"},
	"3mf.object-unnumbered": {notTrusted, exportAnew, "has an object without a number"},
	"3mf.object-twice":      {notTrusted, exportAnew, "has two objects with the same number"},
	"3mf.corner-range":      {notTrusted, exportAnew, "has a triangle that names corner {1} of an object with {2} corner{2 s}, counted from 0"},
	"3mf.place":             {notTrusted, decimals, "has a corner whose place is {1} instead of a number"},
	"3mf.place-nan":         {notTrusted, exportAnew, "has a corner whose place is not a number ({1})"},
	"3mf.no-xyz":            {notTrusted, exportAnew, "has a corner without x, y and z"},
	"3mf.corner-number":     {notTrusted, exportAnew, "has a triangle that names its corner {1}"},
	"3mf.corners-few":       {notTrusted, exportAnew, "has a triangle with fewer than three corners"},
	"3mf.placed-number":     {notTrusted, exportAnew, "places an object whose number is {1}"},
	"3mf.transform-length":  {notTrusted, exportAnew, "places an object by {1 plain} numbers instead of 12"},
	"3mf.transform":         {notTrusted, exportAnew, "places an object by {1} instead of a number"},
	"3mf.placed-unnumbered": {notTrusted, exportAnew, "places an object without saying which"},
	"3mf.locked":            {noSurface, "export it without a password", "is locked with a password"},
	"3mf.packing":           {notTrusted, exportAnew, "is packed in a way that is not read here"},
	"3mf.cut":               {partMissing, copyWhole, "is cut off: its model does not end"},
	"3mf.doctype":           {notRead, exportAnew, "has a document type in its model, which 3MF forbids"},
	"3mf.stretched":         {notRead, exportAnew, "has a model that is nested or stretched beyond any 3MF"},
	"3mf.malformed":         {notTrusted, copyAgain, "is damaged: its model is not well-formed"},
	"3mf.checksum":          {notTrusted, copyAgain, "is damaged: its model does not match its checksum"},
}
