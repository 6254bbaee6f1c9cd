// What keys do while the drawing has the focus. Letters do nothing elsewhere on the page.
export type Deed =
  | { do: 'move'; dx: number; dy: number } // in steps
  | { do: 'turn'; by: number } // degrees
  | { do: 'tilt'; by: number }
  | { do: 'lean'; by: number }
  | { do: 'sink'; by: number } // cm
  | { do: 'scale'; by: number }
  | { do: 'zoom'; by: number }
  | { do: 'next'; back: boolean }
  | { do: 'mirror' | 'copy' | 'paste' | 'twice' | 'all' | 'join' | 'part' | 'lock' | 'remove' | 'undo' | 'redo' | 'fit' | 'leave' | 'point' | 'finish' | 'menu' }

export interface Press {
  key: string
  shift: boolean
  alt: boolean
  ctrl: boolean // or the command key
}

/** Fine, plain and coarse steps of the arrow keys, cm. */
export const STEPS = { fine: 0.1, plain: 1, coarse: 10 }

export function deed(p: Press): Deed | null {
  const step = p.alt ? STEPS.fine : p.shift ? STEPS.coarse : STEPS.plain
  if (!p.ctrl)
    switch (p.key) {
      case 'ArrowLeft': return { do: 'move', dx: -step, dy: 0 }
      case 'ArrowRight': return { do: 'move', dx: step, dy: 0 }
      case 'ArrowUp': return { do: 'move', dx: 0, dy: step }
      case 'ArrowDown': return { do: 'move', dx: 0, dy: -step }
      case 'Tab': return { do: 'next', back: p.shift }
      case 'Escape': return { do: 'leave' }
      case 'Enter': return p.shift ? { do: 'finish' } : { do: 'point' }
      case ' ': return { do: 'point' }
      case 'Delete':
      case 'Backspace': return { do: 'remove' }
    }
  const k = p.key.toLowerCase()
  if (p.ctrl)
    switch (k) {
      case 'z': return { do: p.shift ? 'redo' : 'undo' }
      case 'y': return { do: 'redo' }
      case 'c': return { do: 'copy' }
      case 'v': return { do: 'paste' }
      case 'a': return { do: 'all' }
      default: return null
    }
  switch (k) {
    case 't': return { do: 'turn', by: (p.shift ? -1 : 1) * (p.alt ? 1 : 5) }
    case 'r': return { do: 'tilt', by: p.shift ? -5 : 5 }
    case 'n': return { do: 'lean', by: p.shift ? -5 : 5 }
    case 'd': return { do: 'sink', by: p.shift ? -0.5 : 0.5 }
    case 'b': return { do: 'scale', by: p.shift ? 1 / 1.05 : 1.05 }
    case 'm': return { do: 'mirror' }
    case 'w': return { do: 'twice' }
    case 'j': return { do: p.shift ? 'part' : 'join' }
    case 'l': return { do: 'lock' }
    case '+':
    case '=': return { do: 'zoom', by: 1.25 }
    case '-': return { do: 'zoom', by: 0.8 }
    case '0': return { do: 'fit' }
  }
  return null
}
