// Package growth grows the plants: photosynthesis in layers, nutrient quotas, form, competition for light and ground,
// runners and offsets, melting after planting, and what cutting does to them.
package growth
