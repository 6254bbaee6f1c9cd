package shelf

import (
	"context"
	"fmt"
	"image"
	"littoral/internal/render"
	"littoral/internal/store"
	"slices"
)

// Times of an animation, our own choice: a frame for every week of the first eight, then so many more over what is left.
const (
	earlyDays   = 56
	laterFrames = 28
	frameMS     = 160
	lastMS      = 1600
	mostSide    = 900 // pixels; a picture is drawn for every frame
)

// CheckAnimation tells what is wrong with a wish for an animation; nil when nothing is.
func (p Picture) CheckAnimation() error {
	if p.Width > mostSide || p.Height > mostSide {
		return fmt.Errorf("an animation of %d by %d pixels is not drawn; ask for at most %d a side", p.Width, p.Height, mostSide)
	}
	return p.Check()
}

func animationName(p Picture) string {
	return fmt.Sprintf("animation/%d/%s/%dx%d/%v.png", p.Day, p.From, p.Width, p.Height, p.Dark)
}

// Animate draws how a kept forecast grows in until a day, seen from one eye, as an animated PNG, and keeps it with the forecast. tell hears
// the frames drawn.
func (s *Shelf) Animate(ctx context.Context, key string, p Picture, tell func(done, total int)) error {
	if err := p.CheckAnimation(); err != nil {
		return err
	}
	w, err := s.Live(ctx, key)
	if err != nil {
		return err
	}
	days := frameDays(min(p.Day, w.Forecast.Length))
	var frames []*image.RGBA
	for i, day := range days {
		if err := ctx.Err(); err != nil {
			return err
		}
		q := p
		q.Day = day
		drawing.Lock()
		img, err := w.drawn(q)
		drawing.Unlock()
		if err != nil {
			return err
		}
		frames = append(frames, img)
		tell(i+1, len(days))
	}
	b, err := render.Animation(frames, frameMS, lastMS)
	if err != nil {
		return err
	}
	return s.Store.PutPart(ctx, key, store.Part{Name: animationName(p), Type: "image/png", Data: b})
}

// frameDays are the days of the frames up to a last one, on the weekly snapshots.
func frameDays(last int) []int {
	var out []int
	for day := 0; day <= min(last, earlyDays); day += pictureStep {
		out = append(out, day)
	}
	for i := range laterFrames {
		if day := earlyDays + (last-earlyDays)*(i+1)/laterFrames; day > earlyDays {
			out = append(out, day-day%pictureStep)
		}
	}
	return slices.Compact(out)
}

// Animation returns an animation that was drawn; ErrNotFound before it was.
func (s *Shelf) Animation(ctx context.Context, key string, p Picture) ([]byte, error) {
	part, err := s.Store.Part(ctx, key, animationName(p))
	return part.Data, err
}
