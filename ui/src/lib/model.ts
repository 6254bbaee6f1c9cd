// What the pages need to know, in their own words; src/api turns the server's answers into it.
import type { Units } from './settings.svelte'

export interface Due {
  when: string
  text: string
  late: boolean
}
export interface Worry {
  grave: boolean
  text: string
}
export interface Card {
  id: string
  name: string
  size: string
  state: 'none' | 'running' | 'ready' | 'stale'
  old: boolean // an earlier version of the program made the forecast
  today: number | null // days after planting
  picture: string | null
  due: Due[]
  worries: Worry[]
}
export interface Finding {
  number: number
  id: string
  grave: boolean
  severity: string
  day: number
  until: number
  when: string
  where: string
  at: { x: number; y: number } | null // m
  what: string
  because: string
  cure: string
  tried: string
  caution: string
  curable: boolean
}
export interface Task {
  kind: string
  id: string
  text: string
  amount: number
  unit: string
}
export interface VisitDay {
  day: number
  minutes: number
  tasks: Task[]
}
export interface Outlook {
  key: string
  name: string
  planted: string
  days: number
  size: [number, number, number] | null // cm
  waterL: number
  units: Units
  exact: number[] // days with a snapshot
  findings: Finding[]
  visits: VisitDay[]
  lines: string[]
}
export interface Band {
  low: number
  mid: number
  high: number
}
export interface Series {
  days: number[]
  values: Record<string, number[]>
  bands: { members: number; days: number[]; values: Record<string, Band[]> } | null
}
