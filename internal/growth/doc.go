// Package growth grows the plants: photosynthesis in layers, nutrient quotas, form, competition for light and ground, runners and
// offsets, melting after planting, and what cutting does to them.
//
// A plant is a pot's worth, or a runner's daughter. It holds dry mass of shoot and root (g), N, P, K and Fe (mg), how much of its
// shoot is still as the nursery grew it, and what its form needs besides (stem length, number of stems, a carpet's ground). From
// these follow height, spread and leaf area, which are laid over the voxels as a disc with the form's vertical profile.
//
// A day goes like this. Canopy gives the leaves to the light; SetLight brings back the light on each leaf layer. Demand sums
// photosynthesis over layers and hours in closed form (Michaelis–Menten over Beer–Lambert), times temperature (Q10-like up to
// 28 °C, falling outside the species' range), pH and hardness, quotas (Droop in the form of PCLake, Janse 2005), crowding and
// planting shock, and gives what all plants together would take: carbon at CO2 saturation by the two classes that the water
// knows, respiration (Q10 2), and N, P, K and Fe from water and from each root column (share by the published sediment relation
// bent to the species). Water and soil decide what they give; Grow shares it out in proportion to the asks. New mass goes to
// shoot and root, old leaves fall at the turnover of an age-ordered population, leaves that do not pay for themselves sooner;
// plants near their full size make daughters on free, lit ground.
//
// Mass is kept: C, N, P, K and Fe taken are in plants, detritus, the water, the air or the cut. Calcium and magnesium are not
// followed; the Matter given back has none.
//
// Units: g dry mass, mmol C, mg of the other elements, m, µmol m⁻² s⁻¹, days. Sources stand beside each constant; what the
// trade's classes are worth as physiology is in package catalog.
package growth
