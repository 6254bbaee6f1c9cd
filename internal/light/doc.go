// Package light computes how much of the lamps' light reaches every place of a tank: the field of photosynthetic photon flux
// density (PPFD, µmol of photons of 400–700 nm per m² and s) under the water's surface, still or rippled, through water and leaves, past stones,
// wood and ground.
//
// What it computes. Each lamp is a rectangle or a point with a cosⁿ beam or that of a photometric file, tilted or not. Its light is refracted at the surface
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
// Walls. Light that meets an upright pane of a box under water is returned as the pane returns it: all of it beyond the critical angle, which is
// nearly all light that came in through a flat surface, else the Fresnel share of the sheet with air behind it. Such light comes
// straight from the lamp's image in the mirrored box, so that its unweakened field is tabulated like the direct one; what leaves
// and stones have taken of it before the wall is handed over at the wall. In round, bow-fronted and many-sided tanks the light that
// meets walls is followed ray by ray along the true outline and gathered per voxel with its mean direction; in clear water that is
// right to the grain of the rays (a few hundredths next to the glass), and the shade of leaves and stones on such light is that along its mean
// direction, which blurs it where returned light comes from all sides.
//
// Light that has met walls is taken together for all lamps (unless each source's own field is asked for), so that leaves shade it along the mean
// direction of all lamps.
//
// Leaves. What leaves meet they take, but for the share Options.Leaf that they scatter evenly to all sides (leaves that lie anyhow, half of it reflected and
// half let through). It goes on with the diffuse light: to other leaves, ground, panes and out through the surface.
//
// Again. A Solver goes on from its last solve. The ways of the light are traced once; layers above the highest leaf that has changed stay as they are;
// and what other water takes is carried over without a solve (Tint).
//
// What comes back. Ground and stones give their share (Options.Ground, Options.Stone) back evenly, and particles scatter with a Henyey–Greenstein lobe
// whose forward part counts as unscattered (delta-M of third order). Such light is solved by discrete ordinates on coarse cells, with panes and surface
// reflecting it as they do, and added to the field.
//
// How good. Against a photon tracer over 48 scenes (boxes of 90 to 240 cm, panels and spots, clear and scattering water, 9×9 cells at half depth and at the
// bottom) the map is within 1.1 % of the mean (RMS), every share of photons within 0.5 % of all; with Options.Fine the map is within 0.7 %, every single
// cell within 7 %, those that get a fiftieth of the mean included, and every share within 0.4 %. A study (NewStudy) is within 0.6 %. A
// round tank comes out within 1 %, a hedge at the glass within 2 %, milky water (scattering 2 /m) under a narrow spot within 2.5 %, no cell off by more than 8 %.
//
// Ripples and edges. A rippled surface (Options.Ripples, mean square slope) reflects the mean of its facets and spreads what it lets in by what facets turn the
// rays (Snell's law to first order), as a diffusion that keeps every photon; against the tracer with chance facets the map is within 1.2 %. The edge of a
// lamp's shade and of a hood around the tank cuts the light of each tile where the ray passes it; within 2.3 %, dim corners within a hundredth of the mean.
//
// Windows. Daylight (Daylight, SkyOn) is followed along rays of its own from each patch of a window, since light through a pane runs flatter than the lamps' solver
// follows; see there for what it leaves out. Against photons through windows, a skylight and sun its map is within 8 % and its shares within 0.3 %.
//
// What it leaves out. Glass above the water, and the angles of leaves: they weaken light from all sides alike.
//
// Units. Lengths are metres in tank coordinates (x right, y back, z up from the inside of the bottom glass); extinctions 1/m along
// the path; photon flux µmol/s; PPFD µmol m⁻² s⁻¹; angles radians from the vertical. Nothing here reads clocks, files or
// globals, and results do not depend on the number of processors.
package light
