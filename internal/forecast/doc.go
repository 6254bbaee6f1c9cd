// Package forecast is the clock that couples water, light, plants and root zone into the years ahead of a tank.
package forecast
