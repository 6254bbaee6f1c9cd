// Readings as points over the charts of the forecast.
import type { components } from '../api/schema'
import type { Point } from '../parts/Chart.svelte'

/** Which chart a kind of reading stands in. */
const chartOf: Record<string, string> = { nitrate: 'no3', phosphate: 'po4', ammonium: 'nh4', nitrite: 'no2', ph: 'ph', kh: 'kh', gh: 'gh', potassium: 'k', iron: 'fe', calcium: 'ca', magnesium: 'ca', co2: 'co2', oxygen: 'o2', temperature: 'temp' }

export function pointsOf(m: components['schemas']['Measured'] | null): Record<string, Point[]> {
  const out: Record<string, Point[]> = {}
  for (const l of m?.lines ?? []) {
    const chart = chartOf[l.what]
    if (!chart) continue
    for (const p of l.points) (out[chart] ??= []).push({ day: p.day, v: p.measured, before: p.change !== 'after' })
  }
  return out
}
