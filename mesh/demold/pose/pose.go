// Package pose finds which way up a pattern is molded, and says why.
package pose

// Pose is how the pattern stands. Lengths mm, areas mm².
type Pose struct {
	Up                  [3]float64 `json:"up"`
	Reason              Chosen     `json:"reason"`
	YawDeg              float64    `json:"yaw_deg"` // turn of rect_mm's long side about up, from the frame's E1
	Height              float64    `json:"height_mm"`
	Rect                [2]float64 `json:"rect_mm"`
	Circle              float64    `json:"circle_mm"`
	BaseContact         float64    `json:"base_contact_mm2"`
	BaseContactFraction float64    `json:"base_contact_fraction"`
}

// Direction is one way up that was tried.
type Direction struct {
	Up      [3]float64 `json:"up"`
	Depth   float64    `json:"undercut_depth_mm"`
	Path    *float64   `json:"undercut_path_mm"`
	Volume  float64    `json:"undercut_volume_mm3"`
	Stretch *float64   `json:"stretch"`
	Score   *float64   `json:"score"` // deepest path, mm; nil = locked
	Reason  Tried      `json:"reason"`
}
