package estimate

import (
	"moldtally/estimate/labor"
)

// hours are the shop's own for making a mold, as labor takes them.
func (p Prices) hours() labor.Hours {
	return labor.Hours{Prepare: p.HoursPrepare, Hold: p.HoursBox, Fill: p.HoursPour, Open: p.HoursOpen}
}
