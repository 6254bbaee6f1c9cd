// Package unit holds the quantities of a plan: lengths, volumes, hardness, light, money and time, each with one inner unit,
// and reads and writes them in the units the trade uses, metric and US.
//
// A quantity is written as a number and its unit ("240 cm", "7 dKH", "75 °F"). A number alone is an error, because nobody can
// tell centimetres from inches by looking at it. Errors are of type *Error and carry the reason and the cure apart.
//
// Sources: NIST SP 811 (2008) for the US and imperial units; the definition of the German degree of hardness (10 mg CaO per
// litre); IUPAC 2021 abridged atomic weights for everything that counts moles; RFC 5545 for recurrences.
package unit
