// Package scene builds what stands in and around a tank on a day of its forecast as triangles, for pictures and for general 3D programs.
//
// Lengths are metres in tank coordinates: the front-left inside corner of the bounding rectangle at the bottom glass is the origin, x to the
// right, y back, z up. Colours are sRGB, 0 to 255. Height and spread of every plant are those of the forecast's state; the form of a leaf, where it stands and
// how it bends are drawn from the plant's id, so that the same plant keeps its face from month to month and only grows.
//
// Sources: leaf arrangement by the golden angle and decussate pairs are common botanical knowledge (from memory of plant morphology texts); shares of
// leaf length, bending and colour of young and old leaves are common practice, no source. glTF is the Khronos glTF 2.0 specification.
package scene
