package papers

import (
	"embed"
	"encoding/base64"
	"fmt"
	"strings"
)

// The typefaces of the look, latin subset, under the SIL Open Font License 1.1 (licence texts beside them). From the npm packages
// @fontsource/source-serif-4 and @fontsource/source-sans-3, both 5.3.1. The subset has ° µ ² ³ · × – but no lowered figures, raised
// minus or ≤: formulas are set with lowered text, units with a stroke, and bounds in words.
//
//go:embed fonts/*.woff2
var fontFiles embed.FS

// fontFaces are the style rules that carry the fonts inside the page.
func fontFaces() (string, error) {
	var b strings.Builder
	for _, f := range []struct {
		family, file, style string
		weight              int
	}{
		{"Source Serif 4", "source-serif-4-latin-400-normal", "normal", 400},
		{"Source Serif 4", "source-serif-4-latin-400-italic", "italic", 400},
		{"Source Serif 4", "source-serif-4-latin-600-normal", "normal", 600},
		{"Source Sans 3", "source-sans-3-latin-400-normal", "normal", 400},
		{"Source Sans 3", "source-sans-3-latin-600-normal", "normal", 600},
	} {
		data, err := fontFiles.ReadFile("fonts/" + f.file + ".woff2")
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&b, "@font-face{font-family:%q;font-style:%s;font-weight:%d;font-display:block;src:url(data:font/woff2;base64,%s) format(\"woff2\")}\n", f.family, f.style, f.weight, base64.StdEncoding.EncodeToString(data))
	}
	return b.String(), nil
}
