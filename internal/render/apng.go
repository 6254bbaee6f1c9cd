package render

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
)

// Animation packs frames of one size into an animated PNG (PNG specification, third edition, section 11.3.3) that plays without end. Programs that do
// not know animation show the first frame. delay is how long each frame stays, in milliseconds; the last stays for hold.
func Animation(frames []*image.RGBA, delay, hold int) ([]byte, error) {
	if len(frames) == 0 {
		return nil, fmt.Errorf("an animation needs at least one frame")
	}
	out := bytes.NewBufferString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		var n [4]byte
		binary.BigEndian.PutUint32(n[:], uint32(len(data)))
		out.Write(n[:])
		body := append([]byte(kind), data...)
		out.Write(body)
		binary.BigEndian.PutUint32(n[:], crc32.ChecksumIEEE(body))
		out.Write(n[:])
	}
	number := uint32(0)
	size := frames[0].Bounds().Size()
	packer := png.Encoder{CompressionLevel: png.BestSpeed}
	for i, f := range frames {
		if f.Bounds().Size() != size {
			return nil, fmt.Errorf("frame %d of the animation is of another size than the first", i+1)
		}
		var one bytes.Buffer
		if err := packer.Encode(&one, f); err != nil {
			return nil, fmt.Errorf("frame %d of the animation could not be packed: %w", i+1, err)
		}
		control := func() {
			stay := delay
			if i == len(frames)-1 {
				stay = hold
			}
			b := binary.BigEndian.AppendUint32(nil, number)
			number++
			for _, v := range []uint32{uint32(size.X), uint32(size.Y), 0, 0} {
				b = binary.BigEndian.AppendUint32(b, v)
			}
			b = binary.BigEndian.AppendUint16(b, uint16(min(stay, 65535)))
			b = binary.BigEndian.AppendUint16(b, 1000)
			chunk("fcTL", append(b, 0, 0)) // each frame replaces the one before
		}
		data := one.Bytes()[8:]
		for first := true; len(data) >= 12; {
			n := binary.BigEndian.Uint32(data)
			kind, body := string(data[4:8]), data[8:8+n]
			data = data[12+n:]
			switch {
			case kind == "IHDR" && i == 0:
				chunk(kind, body)
				chunk("acTL", binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(len(frames))), 0))
			case kind == "IDAT":
				if first {
					control()
					first = false
				}
				if i == 0 {
					chunk(kind, body)
				} else {
					chunk("fdAT", append(binary.BigEndian.AppendUint32(nil, number), body...))
					number++
				}
			}
		}
	}
	chunk("IEND", nil)
	return out.Bytes(), nil
}
