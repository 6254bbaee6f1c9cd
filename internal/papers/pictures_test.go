package papers

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"littoral/internal/picture/sample"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The report shows the views with what they show in numbers, inside itself, and stays small; the same forecast gives the same bytes.
func TestReportShowsItsPictures(t *testing.T) {
	f := sample.Desk()
	var told []string
	pics, err := Draw(t.Context(), f, func(done, total int) { told = append(told, fmt.Sprint(done, "/", total)) })
	if err != nil {
		t.Fatal(err)
	}
	n := len(pics.front) + len(pics.sides)
	if len(pics.front) < 2 || len(pics.sides) < 2 || len(told) != n || told[n-1] != fmt.Sprint(n, "/", n) {
		t.Fatalf("%d views from the front, %d others; progress %v", len(pics.front), len(pics.sides), told)
	}
	files, err := Build(f, found(), Options{Pictures: pics})
	if err != nil {
		t.Fatal(err)
	}
	page := files[len(files)-1].Data
	if len(page) > 6_000_000 {
		t.Errorf("the report has %d bytes", len(page))
	}
	images := regexp.MustCompile(`<img class="photo" src="data:image/jpeg;base64,[^"]+" width="\d+" height="\d+" alt="[^"]+">`).FindAll(page, -1)
	if len(images) != n {
		t.Errorf("%d pictures stand in the report, %d were drawn", len(images), n)
	}
	for _, v := range slices.Concat(pics.front, pics.sides) {
		img, err := jpeg.Decode(bytes.NewReader(v.jpeg))
		if err != nil || img.Bounds().Dx() != v.w || img.Bounds().Dy() != v.h {
			t.Errorf("from %s on day %d: %v", v.from, v.day, err)
		}
		if v.reading.Day != v.day || v.reading.View != v.from || !strings.Contains(string(page), v.reading.Caption()) {
			t.Errorf("the numbers of the view from %s on day %d are not in the report: %s", v.from, v.day, v.reading.Caption())
		}
	}
	again, err := Draw(t.Context(), f, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range pics.front {
		if !bytes.Equal(pics.front[i].jpeg, again.front[i].jpeg) {
			t.Errorf("day %d was drawn differently the second time", pics.front[i].day)
		}
	}
}

func TestDrawingStops(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	_, err := Draw(ctx, sample.Desk(), func(done, _ int) {
		if done == 1 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("drawing went on: %v", err)
	}
	if _, err := Draw(t.Context(), nil, nil); err == nil {
		t.Error("no forecast was drawn")
	}
}
