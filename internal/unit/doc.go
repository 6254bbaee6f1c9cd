// Package unit holds the quantities of a plan: lengths, volumes, hardness, light, money and time, each with one inner unit,
// and reads and writes them in the units the trade uses, metric and US.
package unit
