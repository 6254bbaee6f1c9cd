// Package tongue retells finished English sentences of the engine in another language, and sets quantities in other units. The engine knows one
// language, so that what is kept under a key is the same for everybody; what a person reads is retold at the edge, by a catalogue of sentences.
package tongue
