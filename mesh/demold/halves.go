package demold

import "math"

// plumb is the draft angle within which a wall counts as plumb: it may belong
// to either half. One degree is the least draft that mold makers call draft.
// Common practice, no source.
const plumb = math.Pi / 180
