package plan

import (
	"math"
	"strings"
	"testing"
)

func TestRoomThroughTheYear(t *testing.T) {
	p := &Plan{Planted: "2027-03-01", Room: Room{Temperature: 18, Summer: 28, Hottest: 7}}
	low, high, lowDay, highDay := math.Inf(1), math.Inf(-1), 0, 0
	sum := 0.0
	for day := range 365 {
		c := p.RoomOn(day)
		sum += c
		if c < low {
			low, lowDay = c, day
		}
		if c > high {
			high, highDay = c, day
		}
	}
	near(t, "coldest", low, 18, 0.01)
	near(t, "hottest", high, 28, 0.01)
	near(t, "mean", sum/365, 23, 0.05)
	// The middle of July is day 137 from 1 March, that of January day 320.
	near(t, "day of the summer", float64(highDay), 137, 2)
	near(t, "day of the winter", float64(lowDay), 320, 2)
	near(t, "a year on", p.RoomOn(100+1461), p.RoomOn(100), 1e-9)
	p.Room.Summer = 0
	near(t, "constant", p.RoomOn(137), 18, 0)
}

func TestRoomIsChecked(t *testing.T) {
	for _, c := range []struct{ room, planted, says string }{
		{"{temperature: 18 °C, summer: 28 °C}", "", "does not say when it is planted"},
		{"{temperature: 18 °C, summer: 12 °C}", "planted: \"2027-03-01\"\n", "colder than the coldest"},
		{"{temperature: 18 °C, summer: 28 °C, hottest: 13}", "planted: \"2027-03-01\"\n", "month 13 is none"},
		{"{temperature: 18 °C, summer: 70 °C}", "planted: \"2027-03-01\"\n", "outside what is planned"},
	} {
		_, err := Parse([]byte("littoral: 1\nname: r\n"+c.planted+"tank: {shape: box, inside: {length: 60 cm, width: 40 cm, height: 40 cm}}\nroom: "+c.room+"\n"), "r.yaml", nil)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.room, err, c.says)
		}
	}
}
