// Package algae keeps the film on glass, hardscape, bed and leaves and the algae that float in the water, and tells apart from that
// which kind of algae a tank invites.
//
// The film is one population for each class of surface, in g dry. It grows with light (Michaelis–Menten over the day's pieces of light),
// temperature (Eppley's factor), carbon and nutrients, shades itself as it thickens, and loses by respiration, by what peels off, with the
// leaves that fall, by grazers and by the wiping hand. Its composition is fixed, so that what it takes of carbon, nitrogen and phosphorus
// is known from its growth and everything is conserved: Demand says what it asks of the water, Grow what it did with what it got.
//
// Which kind it will be is a question that no mass balance answers. Risks gives for each of the seven kinds that the trade tells apart
// how strongly its causes are at work, 0 to 1, and which ones; the causes are the trade's (common practice, no source) save where a source
// stands beside them.
//
// Units: g dry, mmol C, mg N and P, m², m³, days, µmol m⁻² s⁻¹, °C.
package algae
