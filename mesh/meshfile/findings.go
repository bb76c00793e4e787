package meshfile

import "moldtally/mesh/finding"

// Codes of what reading finds. The facts of each are named in brackets.
const (
	CodeTrailing finding.Code = "file.trailing-bytes"   // [Trailing]
	CodeHeader   finding.Code = "file.header-differs"   // [Header]
	CodeNoEnd    finding.Code = "file.no-closing-line"  // [NoEnd]
	CodeSkipped  finding.Code = "file.content-skipped"  // [Skipped]
	CodeMissing  finding.Code = "file.surface-not-read" // [Missing]
	CodePolygons finding.Code = "file.polygons-folded"  // [Polygons]
	CodeScenes   finding.Code = "file.other-scenes"     // [Scenes]
	CodePose     finding.Code = "file.pose-not-applied" // [Pose]
	CodeUnbuilt  finding.Code = "file.nothing-placed"   // [Unbuilt]
)

// Trailing: bytes follow what the file promises, whose last part is named.
type Trailing struct {
	File  string
	Bytes int64
	After After
}

// After is what bytes too many stand after.
type After int

// The last parts of files.
const (
	AfterTriangles After = iota
	AfterEnd
	AfterLists
)

// Header: a count differs from what the file holds. Promised is -1 where it
// says none and all were read.
type Header struct {
	File            string
	Promised, Holds int64
}

// NoEnd: a text STL without a closing line.
type NoEnd struct{ File string }

// Skipped: content that describes no surface was passed over.
type Skipped struct {
	File  string
	Count int
	What  Stray
}

// Stray is a kind of content that describes no surface.
type Stray int

// The kinds.
const (
	StrayLine    Stray = iota // of a text
	StrayElement              // lines and points
	StrayFace                 // with fewer than three corners
	StrayPart                 // points or lines as a part of a scene
)

// Missing: surface of a kind that is not read.
type Missing struct {
	File string
	What Unread
}

// Unread is a kind of surface that is not read.
type Unread int

// The kinds.
const (
	UnreadInstances Unread = iota
	UnreadFreeForm
	UnreadLattice
)

// Polygons cross themselves or fold over.
type Polygons struct {
	File  string
	Count int
}

// Scenes: only the scene that the file opens with was read.
type Scenes struct {
	File  string
	Count int
}

// Pose: a posed figure was read in its rest pose.
type Pose struct{ File string }

// Unbuilt: a 3MF file that places none of its objects.
type Unbuilt struct{ File string }

// note tells what is odd about the file.
func (s *source) note(code finding.Code, sev finding.Severity, facts any) {
	s.info.Findings.Add(finding.Finding{Code: code, Severity: sev, Facts: facts})
}
