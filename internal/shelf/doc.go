// Package shelf brings kept tanks and the engine together: it reads a kept plan, forecasts it with what the journal says was done, keeps
// what pages need of the forecast, and draws and measures the tank on any day of it. Surfaces ask it and compute nothing themselves.
//
// A forecast is kept under a key: a hash over the plan with its files, what was done, the options and the program itself. The engine gives
// the same bytes for the same key, so what was cleared away is simply made again.
package shelf
