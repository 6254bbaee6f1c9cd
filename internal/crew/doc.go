// Package crew shares work out over goroutines. Who does what never shows in a result, as long as each piece writes to its own place and
// what the pieces found is put together in their order.
package crew
