// What the hand holds: the tool, how it is set, and what the drawing shows.
import type { Layers } from './draw'
import type { Pt } from './model'
import { firstKit, type Tool } from './tools'

export class Pen {
  tool = $state<Tool>('pick')
  kit = $state(firstKit())
  several = $state(false) // a tap adds to what is chosen
  rectangle = $state(false) // a drag over the open drawing chooses, also by finger
  holds = $state({ grid: 0, glass: true, things: true })
  brush = $state({ radius: 10, by: 1 })
  layers = $state<Layers>({ depth: true, slope: false, contours: true, grid: 0, numbers: true, lamps: true })
  points = $state.raw<Pt[]>([]) // of an outline or line being drawn
  measured = $state.raw<Pt[]>([])
  section = $state.raw<[Pt, Pt] | null>(null)
  traced = $state.raw<[Pt, Pt] | null>(null)

  take(tool: Tool): void {
    this.tool = tool
    this.points = []
  }
}
