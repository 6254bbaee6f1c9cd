package render

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"
)

func solid(w, h int, c color.RGBA) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := 0; i < len(m.Pix); i += 4 {
		copy(m.Pix[i:], []byte{c.R, c.G, c.B, c.A})
	}
	return m
}

// An animation is a whole PNG whose first frame any reader shows; its parts are numbered without a gap and their sums hold.
func TestAnimationIsAWholePNG(t *testing.T) {
	data, err := Animation([]*image.RGBA{solid(20, 10, color.RGBA{200, 10, 10, 255}), solid(20, 10, color.RGBA{10, 200, 10, 255}), solid(20, 10, color.RGBA{10, 10, 200, 255})}, 80, 900)
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if r, _, _, _ := m.At(3, 3).RGBA(); r>>8 != 200 {
		t.Errorf("the first frame has red %d", r>>8)
	}
	want, frames := uint32(0), 0
	for p := data[8:]; len(p) > 0; {
		n := binary.BigEndian.Uint32(p)
		kind := string(p[4:8])
		if crc32.ChecksumIEEE(p[4:8+n]) != binary.BigEndian.Uint32(p[8+n:]) {
			t.Errorf("the sum of a part %s is wrong", kind)
		}
		if kind == "fcTL" || kind == "fdAT" {
			if got := binary.BigEndian.Uint32(p[8:]); got != want {
				t.Errorf("a part %s is numbered %d, want %d", kind, got, want)
			}
			want++
		}
		if kind == "fcTL" {
			frames++
		}
		p = p[12+n:]
	}
	if frames != 3 {
		t.Errorf("%d frames", frames)
	}
	if _, err := Animation(nil, 1, 1); err == nil {
		t.Error("an animation of nothing was made")
	}
	if _, err := Animation([]*image.RGBA{solid(2, 2, color.RGBA{}), solid(3, 2, color.RGBA{})}, 1, 1); err == nil {
		t.Error("frames of two sizes were packed")
	}
}

func TestPlateHoldsItsPictures(t *testing.T) {
	shot := Shot{solid(40, 20, color.RGBA{90, 120, 80, 255}), "Day 1.", "Wood & stone still seen: 41 % of planting day"}
	sheet, err := Plate("Then and now", "a tank", []Shot{shot, shot}, 2, Paper)
	if err != nil {
		t.Fatal(err)
	}
	data, err := sheet.SVG()
	if err != nil {
		t.Fatal(err)
	}
	s := string(data)
	if strings.Count(s, "<image ") != 2 || !strings.Contains(s, "Wood &amp; stone") || !strings.HasSuffix(s, "</svg>\n") {
		t.Error("the plate lacks a picture, a caption or its end")
	}
	if _, err := Plate("x", "", nil, 1, Paper); err == nil {
		t.Error("a plate of nothing was made")
	}
	other := shot
	other.Image = solid(30, 20, color.RGBA{})
	if _, err := Plate("x", "", []Shot{shot, other}, 1, Paper); err == nil {
		t.Error("pictures of two sizes were laid on one plate")
	}
}

func TestReadingPlateSaysTheNumbers(t *testing.T) {
	r := &Reading{Still: .41, Hardscape: .1, Pieces: []Piece{{Name: "root"}}, Open: .2, Windows: []Frame{{.1, .2, .3, .3}}, HiddenBy: []Cover{{"crypts", .3}}}
	data, err := ReadingPlate("One year", "a tank", solid(160, 80, color.RGBA{90, 120, 80, 255}), 10, 10, 150, 70, r, Dark).SVG()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"41 % of what planting day showed", "crypts 30 %", "<image ", "Open water is 20 %"} {
		if !strings.Contains(string(data), want) {
			t.Errorf("the plate lacks %q", want)
		}
	}
}
