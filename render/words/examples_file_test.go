package words

import "moldtally/mesh/meshfile"

var fileExamples = examples{
	meshfile.CodeTrailing: {
		meshfile.Trailing{File: "finial.stl", Bytes: 12},
		meshfile.Trailing{File: "finial.glb", Bytes: 12, After: meshfile.AfterEnd},
		meshfile.Trailing{File: "finial.ply", Bytes: 1, After: meshfile.AfterLists},
	},
	meshfile.CodeHeader:   {meshfile.Header{File: "finial.stl", Promised: -1, Holds: 12400}, meshfile.Header{File: "finial.stl", Promised: 12000, Holds: 12400}},
	meshfile.CodeNoEnd:    {meshfile.NoEnd{File: "finial.stl"}},
	meshfile.CodeSkipped:  {meshfile.Skipped{File: "finial.glb", Count: 2, What: meshfile.StrayPart}, meshfile.Skipped{File: "finial.obj", Count: 31, What: meshfile.StrayElement}},
	meshfile.CodeMissing:  {meshfile.Missing{File: "finial.3mf", What: meshfile.UnreadLattice}, meshfile.Missing{File: "finial.obj", What: meshfile.UnreadFreeForm}},
	meshfile.CodePolygons: {meshfile.Polygons{File: "finial.obj", Count: 3}},
	meshfile.CodeScenes:   {meshfile.Scenes{File: "finial.glb", Count: 2}},
	meshfile.CodePose:     {meshfile.Pose{File: "figure.glb"}},
	meshfile.CodeUnbuilt:  {meshfile.Unbuilt{File: "finial.3mf"}},
}
