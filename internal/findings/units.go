package findings

import (
	"fmt"
	"littoral/internal/unit"
	"math"
	"strings"
)

// us tells whether the house shows US units. Concentrations, hardness, light and doses keep the trade's one notation.
func (v *view) us() bool { return strings.EqualFold(v.house.Units, "US") }

// Inches, gallons and pounds for one metre, litre and kilogram (NIST SP 811).
const (
	inchPerM    = 1 / 0.0254
	galPerLitre = 1 / 3.785411784
	lbPerKG     = 1 / 0.45359237
)

// cm writes a length in m: whole centimetres, or inches.
func (v *view) cm(m float64) string { return v.length(m, 0) }

// length writes a length in m with so many decimals of a centimetre.
func (v *view) length(m float64, places int) string {
	if !v.us() {
		return fmt.Sprintf("%.*f cm", places, 100*m)
	}
	return v.inches(m) + " in"
}

// inches has a decimal where they are few.
func (v *view) inches(m float64) string {
	x := m * inchPerM
	if math.Abs(x) < 10 {
		return trim0(fmt.Sprintf("%.1f", x))
	}
	return fmt.Sprintf("%.0f", x)
}

// spanCM writes a range of lengths that is given in cm.
func (v *view) spanCM(lo, hi float64) string {
	if !v.us() {
		return fmt.Sprintf("%s to %s cm", number(lo), number(hi))
	}
	return fmt.Sprintf("%s to %s in", v.inches(lo/100), v.inches(hi/100))
}

func (v *view) litres(l float64) string {
	if !v.us() {
		return fmt.Sprintf("%.0f L", l)
	}
	return fmt.Sprintf("%.0f gal", l*galPerLitre)
}

func (v *view) kg(kg float64) string {
	if !v.us() {
		return fmt.Sprintf("%.0f kg", kg)
	}
	return fmt.Sprintf("%.0f lb", kg*lbPerKG)
}

func (v *view) area(m2 float64) string {
	if !v.us() {
		return fmt.Sprintf("%.2f m²", m2)
	}
	return fmt.Sprintf("%.1f ft²", m2/(0.3048*0.3048))
}

func (v *view) pressure(pa float64) string {
	if !v.us() {
		return fmt.Sprintf("%.1f kN/m²", pa/1000)
	}
	return unit.FormatDigits(unit.KindPressure, pa, unit.US, 3)
}

// degrees gives a temperature in °C in the units shown, and step a difference of temperatures.
func (v *view) degrees(c float64) float64 {
	if v.us() {
		return c*1.8 + 32
	}
	return c
}

func (v *view) step(c float64) float64 {
	if v.us() {
		return c * 1.8
	}
	return c
}

func (v *view) degree() string {
	if v.us() {
		return "°F"
	}
	return "°C"
}
