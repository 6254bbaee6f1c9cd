// Command contacts draws the contact sheet of docs/pictures: the three demos from the front on planting day, in week 8, and after one and three years, and each
// once from another eye.
//
//	go run ./tools/contacts docs/pictures/contact-sheet.jpg
package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/render"
	"littoral/internal/scene"
	"os"
	"path/filepath"
)

// Cells of the sheet, pixels.
const (
	wide, high = 480, 300
	gap        = 10
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: contacts FILE.jpg")
		os.Exit(2)
	}
	if err := sheet(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "contacts:", err)
		os.Exit(1)
	}
}

func sheet(file string) error {
	days := []int{0, 56, 364, 1092}
	rows := []struct {
		plan, other string
		room        render.Room
	}{
		{"quay-street-library", "corner", render.Dark}, {"assay-hall", "standing", render.Paper}, {"reading-desk", "left", render.Dark},
	}
	out := image.NewRGBA(image.Rect(0, 0, (len(days)+1)*(wide+gap)+gap, len(rows)*(high+gap)+gap))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.RGBA{0xf6, 0xf1, 0xe4, 255}), image.Point{}, draw.Src)
	for j, row := range rows {
		p, err := plan.Load(filepath.Join("examples", row.plan, "plan.yaml"))
		if err != nil {
			return err
		}
		f, err := forecast.Run(context.Background(), p, forecast.Options{Days: days[len(days)-1], Seed: 1})
		if err != nil {
			return err
		}
		for i := range len(days) + 1 {
			day, from, room := days[min(i, len(days)-1)], "front", render.Paper
			if i == len(days) {
				from, room = row.other, row.room
			}
			s, err := scene.Build(f, day, scene.Options{Animals: true})
			if err != nil {
				return err
			}
			c, err := render.At(s, from, wide, high)
			if err != nil {
				return err
			}
			img := render.Draw(s, c, render.Options{Room: room, Fine: 3})
			draw.Draw(out, image.Rect(0, 0, wide, high).Add(image.Pt(gap+i*(wide+gap), gap+j*(high+gap))), img, image.Point{}, draw.Src)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, out, &jpeg.Options{Quality: 85}); err != nil {
		return err
	}
	return os.WriteFile(file, b.Bytes(), 0o644)
}
