package store

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// held is a picture of a red left and a blue right half, as a camera held in a way would have written it, with a place in its Exif.
func held(t testing.TB, turn int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			c := color.RGBA{255, 0, 0, 255}
			if x >= 20 {
				c = color.RGBA{0, 0, 255, 255}
			}
			img.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	tiff := []byte("II*\x00\x08\x00\x00\x00\x01\x00")
	tiff = binary.LittleEndian.AppendUint16(tiff, 0x0112)
	tiff = binary.LittleEndian.AppendUint16(tiff, 3)
	tiff = binary.LittleEndian.AppendUint32(tiff, 1)
	tiff = binary.LittleEndian.AppendUint32(tiff, uint32(turn))
	tiff = append(tiff, "\x00\x00\x00\x00GPS 51.4779 N, 0.0015 W"...)
	exif := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{0xFF, 0xD8, 0xFF, 0xE1}, byte((len(exif)+2)>>8), byte(len(exif)+2))
	out = append(out, exif...)
	return append(out, b.Bytes()[2:]...)
}

func TestPhotosAreTurnedUprightAndStripped(t *testing.T) {
	a := Album{filepath.Join(t.TempDir(), "photos")}
	for turn, red := range map[int]string{1: "left", 3: "right", 6: "top", 8: "bottom", 2: "right"} {
		k, err := a.Add(held(t, turn))
		if err != nil {
			t.Fatal(err)
		}
		b, err := a.Read(k.Sum, false)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b, []byte("GPS")) || bytes.Contains(b, []byte("Exif")) {
			t.Errorf("turn %d: what the camera wrote is still in the photo", turn)
		}
		img, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		w, h := img.Bounds().Dx(), img.Bounds().Dy()
		if w != k.Width || h != k.Height {
			t.Errorf("turn %d: %d by %d is told as %d by %d", turn, w, h, k.Width, k.Height)
		}
		at := map[string]image.Point{"left": {2, h / 2}, "right": {w - 3, h / 2}, "top": {w / 2, 2}, "bottom": {w / 2, h - 3}}[red]
		if r, _, blue, _ := img.At(at.X, at.Y).RGBA(); r < 0xC000 || blue > 0x4000 {
			t.Errorf("turn %d: the %s is not red", turn, red)
		}
	}
}

func TestWhatIsNoPhotoIsRefused(t *testing.T) {
	a := Album{filepath.Join(t.TempDir(), "photos")}
	var huge bytes.Buffer
	if err := png.Encode(&huge, image.NewGray(image.Rect(0, 0, 10, 10))); err != nil {
		t.Fatal(err)
	}
	claims := bytes.Clone(huge.Bytes())
	binary.BigEndian.PutUint32(claims[16:], 60000) // width and height in the header of a PNG
	binary.BigEndian.PutUint32(claims[20:], 60000)
	for name, c := range map[string]struct {
		raw  []byte
		want error
	}{
		"a page as a picture":     {[]byte("<html><script>alert(1)</script>"), ErrNoPhoto},
		"a drawing with script":   {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>`), ErrNoPhoto},
		"nothing":                 {nil, ErrNoPhoto},
		"a picture cut short":     {held(t, 1)[:300], ErrNoPhoto},
		"a picture with a claim":  {claims, nil},
		"too many bytes":          {make([]byte, MostPhotoBytes+1), ErrTooLarge},
		"a program behind a JPEG": {append([]byte{0xFF, 0xD8, 0xFF, 0xE0}, "MZ\x90\x00"...), ErrNoPhoto},
	} {
		_, err := a.Add(c.raw)
		if err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s gave %v", name, err)
		}
	}
	if _, err := os.Stat(a.Dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("something was kept: %v", err)
	}
	for _, sum := range []string{"", "../../etc/passwd", strings.Repeat("g", 64), strings.Repeat("a", 63)} {
		if _, err := a.Read(sum, false); !errors.Is(err, ErrNotFound) {
			t.Errorf("reading %q gave %v", sum, err)
		}
	}
}

// What rides behind a picture is not kept.
func TestOnlyPixelsAreKept(t *testing.T) {
	a := Album{filepath.Join(t.TempDir(), "photos")}
	k, err := a.Add(append(held(t, 1), "<script>alert(1)</script>PK\x03\x04"...))
	if err != nil {
		t.Fatal(err)
	}
	b, err := a.Read(k.Sum, false)
	if err != nil || bytes.Contains(b, []byte("script")) {
		t.Errorf("what rode behind the picture is kept (%v)", err)
	}
	if err := a.Remove(k.Sum); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Read(k.Sum, true); !errors.Is(err, ErrNotFound) {
		t.Errorf("the small picture is left: %v", err)
	}
}

func TestForeignArchivesAreNotRestored(t *testing.T) {
	for _, name := range []string{"../../escape", "/etc/passwd", PhotoDir + "/../../x.jpg", PhotoDir + "/note.html"} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte("x"))
		}
		if err = errors.Join(err, z.Close()); err != nil {
			t.Fatal(err)
		}
		dir := filepath.Join(t.TempDir(), "in")
		if err := Restore(bytes.NewReader(b.Bytes()), int64(b.Len()), dir); err == nil {
			t.Errorf("an archive with %q was taken", name)
		}
		if _, err := os.Stat(filepath.Join(filepath.Dir(dir), "escape")); err == nil {
			t.Errorf("%q got out", name)
		}
	}
}

func FuzzOrientation(f *testing.F) {
	f.Add(held(f, 6))
	f.Add([]byte{0xFF, 0xD8, 0xFF, 0xE1, 0, 4})
	f.Fuzz(func(t *testing.T, raw []byte) {
		if v := orientation(raw); v < 1 || v > 8 {
			t.Errorf("orientation %d", v)
		}
	})
}
