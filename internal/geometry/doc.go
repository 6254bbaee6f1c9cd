// Package geometry turns a plan into bodies: the tank, the smooth ground with its layers and caps, stones and wood as closed
// surfaces; and into what they hold and weigh: net water, bed, pore water, hardscape in air and in water, filled weight.
//
// Lengths are metres, z is up from the inside of the bottom glass, x to the right and y to the back from the front-left inside
// corner of the tank's bounding rectangle. Volumes come from the surfaces by column integration, never from counting voxels.
package geometry
