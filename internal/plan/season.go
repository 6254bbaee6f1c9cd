package plan

import (
	"math"
	"time"
)

// yearDays is the length of a year, days.
const yearDays = 365.25

// RoomOn returns the mean room temperature of a day counted from planting, °C: room.temperature all year, or a smooth year between
// it in the coldest month and room.summer in the hottest. Months differ from a smooth year by a degree or so (common practice, no source).
func (p *Plan) RoomOn(day int) float64 {
	cold := float64(p.Room.Temperature)
	planted, err := time.Parse(time.DateOnly, p.Planted)
	if p.Room.Summer == 0 || err != nil {
		return cold
	}
	warm := float64(p.Room.Summer)
	middle := (float64(p.Room.Hottest) - 0.5) * yearDays / 12
	date := float64(planted.YearDay()+day) - 0.5
	return (cold+warm)/2 + (warm-cold)/2*math.Cos(2*math.Pi*(date-middle)/yearDays)
}
