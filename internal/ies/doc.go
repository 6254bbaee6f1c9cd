// Package ies reads photometric files of lamps: the IES LM-63 text format in its revisions of 1986, 1991, 1995, 2002 and 2019.
//
// What it gives. The luminous intensity (cd) in any direction of the lamp, by bilinear interpolation between the file's angles, with the file's
// multiplier and ballast factor laid on; the total luminous flux, integrated over the sphere; the size of the luminous face (m).
//
// Directions. A lamp hangs with its aim straight down: x is along its length (horizontal angle 0° of type C), y across it, down is the aim. Type C
// counts from straight down and around; types A and B count from the aim, to the right (along x) and up (along y).
//
// Source: ANSI/IES LM-63-02 and LM-63-19, Standard File Format for the Electronic Transfer of Photometric Data, from memory; in files of the
// last revision the field "future use" tells how the file was made, and is passed over here.
package ies
