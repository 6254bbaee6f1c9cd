package catalog

import (
	"fmt"
	"littoral/internal/unit"
	"math"
	"strings"
)

var lampKinds = []string{"panel", "bar", "spot", "pendant"}

func lampTable() table[LampKind] {
	type l = LampKind
	return table[l]{
		word:  "lamp",
		names: lampNames,
		own:   func(x *l) *string { return &x.Name },
		fresh: func(file string) l {
			return l{
				Beam: unit.Angle(120 * math.Pi / 180), Spectrum: "white LED", Source: "house table " + file,
				// Default for phosphor-white LED, computed from the CIE 015:2018 LED spectra, 400–700 nm.
				LuxPerPPFD: Param{Value: 70, Min: 60, Max: 75, Source: "CIE 015:2018 white LED spectra"},
			}
		},
		columns: []column[l]{
			listColumn("synonyms", func(x *l) *[]string { return &x.Synonyms }),
			must(wordColumn("kind", lampKinds, func(x *l) *string { return &x.Kind })),
			must(column[l]{name: "size-cm", set: func(x *l, text string) error {
				first, last, ok := strings.Cut(strings.ReplaceAll(text, "×", "x"), "x")
				if !ok {
					return fmt.Errorf("%q must give length and width of the shining face, as 60x20", text)
				}
				a, err := number(first, 0.5, 500)
				if err != nil {
					return err
				}
				b, err := number(last, 0.5, 500)
				if err != nil {
					return err
				}
				x.Size = [2]unit.Length{unit.Length(a) * unit.CM, unit.Length(b) * unit.CM}
				return nil
			}}),
			must(column[l]{name: "ppf", set: func(x *l, text string) error {
				v, err := number(text, 1, 10000)
				if err == nil {
					x.PPF = unit.PhotonFlux(v)
				}
				return err
			}}),
			must(column[l]{name: "watts", set: func(x *l, text string) error {
				v, err := number(text, 1, 5000)
				if err == nil {
					x.Power = unit.Power(v)
				}
				return err
			}}),
			{name: "beam-deg", set: func(x *l, text string) error {
				v, err := number(text, 2, 180)
				if err == nil {
					x.Beam = unit.Angle(v * math.Pi / 180)
				}
				return err
			}},
			textColumn("spectrum", func(x *l) *string { return &x.Spectrum }),
			{name: "lux-per-ppfd", set: func(x *l, text string) error {
				p, err := param(text, 5, 120)
				if err == nil {
					p.Source = x.LuxPerPPFD.Source
					x.LuxPerPPFD = p
				}
				return err
			}},
			textColumn("source", func(x *l) *string { return &x.Source }),
		},
		finish: func(x *l) error {
			x.LuxPerPPFD.Source = x.Source
			// 683 lm/W is the most that light can give and 4.6 µmol/J is about the mean photon energy of visible light; no lamp
			// turns each watt into 4.6 µmol (from memory of photometry). Best white LED lamps reach about 3.3.
			if float64(x.PPF) > 4.6*float64(x.Power) {
				return fmt.Errorf("%g µmol/s from %g W is more than light can carry; check which number is which", float64(x.PPF), float64(x.Power))
			}
			return nil
		},
	}
}
