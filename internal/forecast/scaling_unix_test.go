//go:build unix

package forecast

import (
	"context"
	"fmt"
	"math"
	"syscall"
	"testing"
)

// BenchmarkScaling fits how the processor time of half a year grows with the plants (100 to 800 pots in one tank) and with the columns of the
// bed (14 to 115 dm² under the same depth of water, with 20 pots and with pots that grow along, at 2.5 cm voxels): time ∝ size to the power that is reported,
// 1 where cost is linear (docs/performance.md).
func BenchmarkScaling(b *testing.B) {
	for _, c := range []struct {
		name string
		text func(times float64) string
	}{
		{"plants", func(times float64) string { return measured(170, 60, 50, int(100*times)) }},
		{"columns", func(times float64) string {
			return measured(60*math.Sqrt(times), 24*math.Sqrt(times), 50, 20)
		}},
		{"plants and columns", func(times float64) string {
			return measured(60*math.Sqrt(times), 24*math.Sqrt(times), 50, int(10*times))
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				var x, y []float64
				for _, times := range []float64{1, 2, 4, 8} {
					p := read(b, c.text(times))
					before := processorTime(b)
					if _, err := Run(context.Background(), p, Options{Days: 182, Voxel: 0.025}); err != nil {
						b.Fatal(err)
					}
					spent := processorTime(b) - before
					b.ReportMetric(spent, fmt.Sprintf("s/x%.0f", times))
					x, y = append(x, math.Log(times)), append(y, math.Log(spent))
				}
				b.ReportMetric(slope(x, y), "exponent")
			}
		})
	}
}

// processorTime is what this process has used, s.
func processorTime(b *testing.B) float64 {
	var use syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &use); err != nil {
		b.Fatal(err)
	}
	return float64(use.Utime.Nano()+use.Stime.Nano()) / 1e9
}

// slope is that of the straight line of least squares.
func slope(x, y []float64) float64 {
	n := float64(len(x))
	var sx, sy, xx, xy float64
	for i := range x {
		sx, sy = sx+x[i], sy+y[i]
		xx, xy = xx+x[i]*x[i], xy+x[i]*y[i]
	}
	return (n*xy - sx*sy) / (n*xx - sx*sx)
}
