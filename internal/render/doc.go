// Package render draws scenes as pictures on the processor: no graphics card, no browser, no outside program.
//
// A picture is taken from an eye outside the tank. What lies in the water is seen through plane or round glass with refraction at both faces
// (Snell), so a tank looks shallower than it is, as it does to a visitor; panes and surface that meet the ray at more than the critical angle are
// mirrors. Light comes down from the plan's lamps, in pools as their beams make them, through a grid of leaf area (Beer–Lambert), shows through leaves, and is lost on its way to the eye
// with the beam attenuation that the forecast gives for the day. Everything is in metres and linear light until the last step. The same scene,
// view and options give the same pixels on any number of cores.
//
// Sources: refractive indices of water 1.333 and soda-lime glass 1.52 (common tables); absorption of pure water at 610, 550 and 450 nm from Pope & Fry 1997
// (from memory); contrast along a path e^(−c·r) (Duntley, as in package clarity); CIELAB of CIE 15; CIEDE2000 after Sharma, Wu & Dalal 2005. Shading
// constants are common practice, no source.
package render
