package picture

import (
	"fmt"
	"image"
	"image/png"
	"io"
)

// WritePNG encodes a picture as PNG, without a date or other text in it: the
// same picture gives the same bytes.
func WritePNG(w io.Writer, m *image.NRGBA) error {
	e := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := e.Encode(w, m); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	return nil
}
