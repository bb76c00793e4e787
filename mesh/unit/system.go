package unit

// System says which units a reader wants.
type System string

// The systems. Both is the zero value's meaning; a sentence, which has room for
// one figure, then speaks metric.
const (
	Both   System = "both"
	Metric System = "metric"
	US     System = "us"
)
