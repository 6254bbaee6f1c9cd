// Package recipe finds how to make a wanted water from a tap, pure water and salts, and how to keep doses in stock solutions. A recipe is a linear
// programme: shares of water and milligrams of salts are what it chooses, wanted values or ranges are its rows, and what cannot be met costs. So it always has
// an answer, and the answer says what is missed and which wishes stand against each other.
package recipe
