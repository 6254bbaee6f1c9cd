// Package reckon answers one-off questions of the trade without a plan: how much CO2 this pH means, what a spoon of salt does, what a
// water change costs in heat. Each question is a Topic with named inputs and outputs, so that one table serves
// the flags of the command line, a file of many rows and a web page alike. The physics is that of the water room; sources stand there.
//
// Numbers in and out are in the unit that the column's name ends in. A missing number is NaN.
package reckon
