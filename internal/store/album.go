package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	_ "image/png" // photos come as PNG too
	"os"
	"path/filepath"
	"regexp"

	xdraw "golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // and as WebP
)

// Album keeps the files of photos in a folder, each under the SHA-256 of its bytes, with a small picture beside it. What is kept was
// drawn anew from its pixels, turned upright and without anything else that the camera wrote: no place, no time, no name.
type Album struct{ Dir string }

// Bounds of photos, our own choice.
const (
	MostPhotoBytes = 24 << 20
	mostPhotoArea  = 80_000_000 // pixels; a small file can claim a huge picture
	longestSide    = 3000       // pixels that are kept
	thumbSide      = 480
	quality        = 88
	thumbQuality   = 80
)

// ErrNoPhoto says that bytes are no photo.
var ErrNoPhoto = errors.New("this is no photo that can be kept; send a JPEG, PNG or WebP picture")

// ErrTooLarge says that a photo is larger than is kept.
var ErrTooLarge = errors.New("the photo is too large; make it smaller")

// Filed tells what was kept of a photo.
type Filed struct {
	Sum           string
	Width, Height int
	Bytes         int
}

// Add keeps a photo. The same picture is kept once. When it returns, the photo is on the disk.
func (a Album) Add(raw []byte) (Filed, error) {
	if len(raw) > MostPhotoBytes {
		return Filed{}, fmt.Errorf("%w: it has %d MB, and %d MB are kept", ErrTooLarge, len(raw)>>20, MostPhotoBytes>>20)
	}
	c, kind, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return Filed{}, ErrNoPhoto
	}
	if c.Width < 1 || c.Height < 1 || c.Width*c.Height > mostPhotoArea {
		return Filed{}, fmt.Errorf("%w: it claims %d by %d pixels", ErrTooLarge, c.Width, c.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return Filed{}, ErrNoPhoto
	}
	turn := 1
	if kind == "jpeg" {
		turn = orientation(raw)
	}
	whole := upright(fit(img, longestSide), turn)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, whole, &jpeg.Options{Quality: quality}); err != nil {
		return Filed{}, err
	}
	sum := sha256.Sum256(b.Bytes())
	k := Filed{Sum: hex.EncodeToString(sum[:]), Width: whole.Bounds().Dx(), Height: whole.Bounds().Dy(), Bytes: b.Len()}
	var small bytes.Buffer
	if err := jpeg.Encode(&small, fit(whole, thumbSide), &jpeg.Options{Quality: thumbQuality}); err != nil {
		return Filed{}, err
	}
	if err := a.write(k.Sum+".thumb.jpg", small.Bytes()); err != nil {
		return Filed{}, err
	}
	return k, a.write(k.Sum+".jpg", b.Bytes())
}

var hexSum = regexp.MustCompile(`^[0-9a-f]{64}$`)

func (a Album) path(name string) string { return filepath.Join(a.Dir, name[:2], name) }

// Read returns the bytes of a photo, or of the small picture of it, as JPEG.
func (a Album) Read(sum string, thumb bool) ([]byte, error) {
	if !hexSum.MatchString(sum) {
		return nil, ErrNotFound
	}
	name := sum + ".jpg"
	if thumb {
		name = sum + ".thumb.jpg"
	}
	b, err := os.ReadFile(a.path(name))
	if errors.Is(err, os.ErrNotExist) {
		return nil, ErrNotFound
	}
	return b, err
}

// Remove takes a photo's files away.
func (a Album) Remove(sum string) error {
	if !hexSum.MatchString(sum) {
		return ErrNotFound
	}
	for _, name := range []string{sum + ".jpg", sum + ".thumb.jpg"} {
		if err := os.Remove(a.path(name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return nil
}

// write puts a file beside its place, waits for the disk, and renames it in.
func (a Album) write(name string, data []byte) (err error) {
	to := a.path(name)
	if _, err := os.Stat(to); err == nil {
		return nil // the name is the content
	}
	dir := filepath.Dir(to)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, ".new-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err != nil {
		return err
	}
	if err = os.Rename(f.Name(), to); err != nil {
		return err
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// fit makes a picture smaller until its longer side is at most so many pixels. Transparent pixels become white.
func fit(img image.Image, most int) *image.RGBA {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > most {
		w, h = max(1, w*most/long), max(1, h*most/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.White, image.Point{}, draw.Src)
	if w == b.Dx() && h == b.Dy() {
		draw.Draw(out, out.Bounds(), img, b.Min, draw.Over)
		return out
	}
	xdraw.ApproxBiLinear.Scale(out, out.Bounds(), img, b, xdraw.Over, nil)
	return out
}

// upright turns a picture by the orientation that a camera noted (Exif 2.32, tag 0x0112: 1 to 8).
func upright(img *image.RGBA, turn int) *image.RGBA {
	if turn < 2 || turn > 8 {
		return img
	}
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	ow, oh := w, h
	if turn >= 5 {
		ow, oh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, ow, oh))
	for y := range h {
		for x := range w {
			var ox, oy int
			switch turn {
			case 2:
				ox, oy = w-1-x, y
			case 3:
				ox, oy = w-1-x, h-1-y
			case 4:
				ox, oy = x, h-1-y
			case 5:
				ox, oy = y, x
			case 6:
				ox, oy = h-1-y, x
			case 7:
				ox, oy = h-1-y, w-1-x
			case 8:
				ox, oy = y, w-1-x
			}
			copy(out.Pix[oy*out.Stride+4*ox:][:4], img.Pix[y*img.Stride+4*x:][:4])
		}
	}
	return out
}

// orientation reads how a camera was held from a JPEG; 1 (upright) when it does not say.
func orientation(raw []byte) int {
	const upright = 1
	for i := 2; i+4 <= len(raw) && raw[i] == 0xFF; {
		marker, size := raw[i+1], int(binary.BigEndian.Uint16(raw[i+2:]))
		if marker == 0xDA || size < 2 || i+2+size > len(raw) {
			return upright
		}
		if part := raw[i+4 : i+2+size]; marker == 0xE1 && bytes.HasPrefix(part, []byte("Exif\x00\x00")) {
			return tiffOrientation(part[6:])
		}
		i += 2 + size
	}
	return upright
}

// tiffOrientation reads tag 0x0112 of the first directory of a TIFF block.
func tiffOrientation(b []byte) int {
	if len(b) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if string(b[:2]) == "II" {
		order = binary.LittleEndian
	}
	at := uint64(order.Uint32(b[4:]))
	if at+2 > uint64(len(b)) {
		return 1
	}
	for k := range uint64(order.Uint16(b[at:])) {
		e := at + 2 + 12*k
		if e+12 > uint64(len(b)) {
			return 1
		}
		if order.Uint16(b[e:]) == 0x0112 {
			if v := int(order.Uint16(b[e+8:])); v >= 1 && v <= 8 {
				return v
			}
			return 1
		}
	}
	return 1
}
