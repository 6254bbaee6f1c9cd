// The editor of the plan's text. Loaded only when the text is opened. It stands in a tree of its own, because the page's policy takes rules
// of style only as a sheet.
import { defaultKeymap, history, historyKeymap, indentWithTab } from '@codemirror/commands'
import { yaml } from '@codemirror/lang-yaml'
import { HighlightStyle, indentUnit, syntaxHighlighting } from '@codemirror/language'
import { type Diagnostic, lintGutter, setDiagnostics } from '@codemirror/lint'
import { EditorState } from '@codemirror/state'
import { drawSelection, EditorView, highlightActiveLine, keymap, lineNumbers } from '@codemirror/view'
import { tags } from '@lezer/highlight'
import type { Problem } from './model'
import { change } from './text'

const hues = HighlightStyle.define([
  { tag: tags.propertyName, color: 'var(--leaf)' },
  { tag: tags.comment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: tags.string, color: 'var(--red)' },
  { tag: tags.keyword, color: 'var(--wood)' },
])
const theme = EditorView.theme({
  '&': { backgroundColor: 'var(--paper)', color: 'var(--ink)', fontSize: '14px', height: '100%' },
  '.cm-scroller': { fontFamily: "ui-monospace, 'DejaVu Sans Mono', monospace", lineHeight: '1.45' },
  '.cm-content': { caretColor: 'var(--ink)' },
  '.cm-gutters': { backgroundColor: 'var(--deep)', color: 'var(--soft)', border: '0', borderRight: '1px solid var(--rule)' },
  '.cm-activeLine': { backgroundColor: 'var(--deep)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)' },
  '.cm-selectionBackground, &.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground': { backgroundColor: 'var(--deeper)' },
  '&.cm-focused': { outline: '2px solid var(--warn)' },
  '.cm-tooltip': { backgroundColor: 'var(--paper)', color: 'var(--ink)', border: '1px solid var(--ink)' },
  '.cm-diagnostic': { fontFamily: 'var(--sans)', borderLeftColor: 'var(--warn)' },
})

export interface Told {
  typed: (text: string) => void
  line: (line: number) => void // the cursor has come to it by keys or hand
}

export class Editor {
  private view: EditorView
  private quiet = false

  constructor(parent: HTMLElement, text: string, label: string, says: string, told: Told) {
    const root = parent.shadowRoot ?? parent.attachShadow({ mode: 'open' })
    let line = 0
    this.view = new EditorView({
      parent: root,
      root,
      state: EditorState.create({
        doc: text,
        extensions: [
          lineNumbers(), history(), drawSelection(), highlightActiveLine(), indentUnit.of('  '), yaml(), syntaxHighlighting(hues), theme, lintGutter(),
          // Tab indents only after Escape has not been pressed: Escape, then Tab leaves the editor.
          keymap.of([...defaultKeymap, ...historyKeymap, indentWithTab]),
          EditorView.contentAttributes.of({ 'aria-label': label, 'aria-description': says, spellcheck: 'false', lang: 'en', tabindex: '0' }),
          EditorView.updateListener.of((u) => {
            if (u.docChanged && !this.quiet) told.typed(u.state.doc.toString())
            if (u.selectionSet && !this.quiet && u.view.hasFocus) {
              const now = u.state.doc.lineAt(u.state.selection.main.head).number
              if (now !== line) {
                line = now
                told.line(now)
              }
            }
          }),
        ],
      }),
    })
    requestAnimationFrame(() => this.view.requestMeasure())
  }

  /** Another text, changed only where it differs: the cursor stays where it is. */
  set(text: string): void {
    const c = change(this.view.state.doc.toString(), text)
    if (!c) return
    this.quiet = true
    this.view.dispatch({ changes: c })
    this.quiet = false
  }
  get text(): string {
    return this.view.state.doc.toString()
  }
  get focused(): boolean {
    return this.view.hasFocus
  }
  problems(list: readonly Problem[]): void {
    const doc = this.view.state.doc
    const all: Diagnostic[] = list.map((p) => {
      const line = doc.line(Math.max(1, Math.min(doc.lines, p.line || 1)))
      const from = Math.min(line.to, line.from + Math.max(0, p.column - 1))
      return { from, to: Math.max(from, line.to), severity: p.warning ? 'warning' : 'error', message: [p.message, p.cure].filter(Boolean).join(' ') }
    })
    this.view.dispatch(setDiagnostics(this.view.state, all))
  }
  /** Brings a line into sight and sets the cursor on it. */
  show(line: number, focus = false): void {
    const l = this.view.state.doc.line(Math.max(1, Math.min(this.view.state.doc.lines, line)))
    this.quiet = true
    this.view.dispatch({ selection: { anchor: l.from }, effects: EditorView.scrollIntoView(l.from, { y: 'center' }) })
    this.quiet = false
    if (focus) this.view.focus()
  }
  dispose(): void {
    this.view.destroy()
  }
}
