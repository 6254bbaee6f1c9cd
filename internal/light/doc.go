// Package light computes how much of the lamps' light reaches every place of a tank: the field of photosynthetic photon flux
// density (PPFD, µmol of photons of 400–700 nm per m² and s) under a flat water surface, through water and leaves, past stones,
// wood and ground.
//
// What it computes. Each lamp is a rectangle or a point that looks straight down with a cosⁿ beam. Its light is refracted at the surface
// (Snell), loses the unpolarised Fresnel share there, spreads as the refracted bundle of rays really does (flux conservation
// through the surface; on the axis this is the effective distance height + depth/n), is weakened along the slanted path by water
// and leaves (Beer–Lambert) and stopped by solids. PPFD here is planar downwelling irradiance.
//
// How. The unweakened field and the rays' directions depend only on lamps, tank and surface; NewSolver tabulates them once per
// emitter (a lamp, or a part of a large lamp that casts its own shadow). Solve then carries the transmitted share down layer
// by layer: each voxel takes it from the point of the layer above that its ray comes through (short characteristics; Kunasz and
// Auer 1988, "Short characteristic integration of radiative transfer problems", JQSRT 39) and averages it over its own path, so
// that a leafy voxel far thicker than its extinction length still gives the right mean.
//
// How fine. At 2.5 cm voxels the light on the water and on an open bed is right to about 0.1 %. The edges of shadows are blurred by up to
// half a cell for each layer below them. A spotlight of exponent n close above the water makes a pool of light of radius
// height/√(n+3); voxels should be no larger than half of that.
//
// What it leaves out, and says so in Budget. Light that meets a wall under water is counted as lost at the walls. In
// truth the pane returns nearly all of it (light refracted downwards meets an upright wall beyond the critical angle unless it
// came in at more than 62° from the vertical), so that the whole tank, and most of all the places near the glass, gets more light than this
// field says. Against a photon tracer with clear glass the mean at the bottom is too low by 3 % under a 40° spot over
// 150×150 cm, by a third under a Lambertian panel over 150×150 or 240×90 cm, and by half under one over 120×60 cm or less.
// Neither scattering, nor light from the ground and stones, nor a rippled surface, nor glass above the water takes part.
//
// Units. Lengths are metres in tank coordinates (x right, y back, z up from the inside of the bottom glass); extinctions 1/m along
// the path; photon flux µmol/s; PPFD µmol m⁻² s⁻¹; angles radians from the vertical. Nothing here reads clocks, files or
// globals, and results do not depend on the number of processors.
package light
