package water

// Neutral closes the charge that a list of ions leaves open with chloride or sodium, the ions of a fertiliser that its label does
// not name, so that dosing it moves no alkalinity.
func Neutral(a Amount) Amount {
	if open := a.charge() - a.Alk; open > 0 {
		a.Cl += open * molCl
	} else {
		a.Na -= open * molNa
	}
	return a
}
