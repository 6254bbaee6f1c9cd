// Package water keeps the chemistry of a tank's water: the laws, the water that is poured in, and the water body that a
// forecast advances hour by hour.
//
// The laws are pure functions: density, carbonate equilibrium, gas saturation and transfer, un-ionised ammonia, hardness
// units, salts by molar mass, evaporation, heat, nitrification. Each names its source.
//
// An Analysis or a Source becomes a Composition (concentrations). A State is a Composition with a volume, oxygen, nitrifying
// films, detritus and suspended matter; State.Step moves it on by up to an hour under a Forcing and answers with Flows, the
// exact amounts taken and released, so that what plants, soil and animals get and give closes to rounding error.
//
// Units: temperatures in °C, concentrations in mg/L (equal to g/m³) as the element where the name says so (NO3N, PO4P),
// dissolved inorganic carbon in mmol/L, alkalinity in meq/L, volumes in m³, rates per hour.
//
// Alkalinity is the charge that the strong ions leave open: every uptake or supply of an ion moves it by the ion's charge.
// Nitrification then costs 2 meq per mmol N, uptake of nitrate returns 1, uptake of ammonium costs 1 (Stumm & Morgan 1996;
// Wolf-Gladrow et al. 2007), and the electric charge of the water never drifts. The pH counts the pairs that calcium and magnesium form with
// carbonate, sulphate and phosphate, and phosphate and ammonia as buffers; humic acids are left out, so titrated hardness of stained water reads too high.
package water
