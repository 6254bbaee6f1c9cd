// Package mesh reads, checks, mends and measures triangle meshes: scanned or modelled stones and wood.
//
// Read takes the bytes of an OBJ, STL, PLY or GLB file and returns triangles; it never opens a file and never trusts a
// count in a header further than the bytes that follow can bear it out. Inspect says what is wrong with a mesh, Orient turns its faces outward,
// Close fills openings where that is safe and says why where it is not. Volume, Area and Centroid are exact for the
// triangles they are given (divergence theorem; Mirtich 1996, "Fast and accurate computation of polyhedral mass
// properties", Journal of Graphics Tools 1).
//
// Lengths carry no unit until the caller scales the mesh. Only GLB defines which way is up: its y axis is turned to our
// z on reading; the other formats keep their axes.
//
// File formats, from memory of their published descriptions: Wavefront OBJ; stereolithography STL (text and binary);
// Stanford PLY 1.0; Khronos glTF 2.0 in its binary container.
package mesh
