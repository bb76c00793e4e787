package render

import "image/color"

// Inks and ground of page, paper and picture.
var (
	Paper    = color.NRGBA{0xFB, 0xFA, 0xF7, 255}
	Ink      = color.NRGBA{0x1F, 0x2A, 0x30, 255}
	SoftInk  = color.NRGBA{0x5B, 0x68, 0x70, 255}
	FaintInk = color.NRGBA{0x8F, 0x9A, 0xA0, 255}
	hairline = color.NRGBA{0xDC, 0xD8, 0xCF, 255}
	GoodInk  = color.NRGBA{0x1D, 0x6F, 0x60, 255}
	CareInk  = color.NRGBA{0x8A, 0x53, 0x00, 255}
	BadInk   = color.NRGBA{0xA8, 0x26, 0x1B, 255}
)

// white is the ink on a ground of color.
var white = color.NRGBA{255, 255, 255, 255}
