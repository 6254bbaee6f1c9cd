// The state of one board: what the server holds, what is on its way there, what is chosen. A change shows at once and is sent in order;
// the server's answer takes its place. When another window was first, the change is laid on top of what that window made.
import * as server from '../../api/board'
import { NeedsLogin, Refused, Unreachable } from '../../api/api'
import { go } from '../router.svelte'
import { t } from '../words'
import { edits as editsOf, renamed, withItems } from './change'
import { keyOf, type Board, type Edit, type Item, type Note, type Problem } from './model'
import { whole } from './pick'

interface Sent {
  label: string
  edits: Edit[]
  local: Map<string, Item>
}

const LOOK_MS = 120 // between two questions to the engine while something is dragged
const ASK_MS = 20_000 // between two looks at whether another machine has changed the plan

export class Draft {
  board = $state.raw<Board | null>(null)
  chosen = $state.raw<ReadonlySet<string>>(new Set())
  says = $state('') // for ears: what has just happened
  problem = $state('')
  problems = $state.raw<Problem[]>([])
  live = $state.raw<Note[] | null>(null) // notes on what is being dragged; null when nothing is
  told = $state('') // that another window changed the plan
  busy = $state(false)
  changes = $state(0) // counts what this window has sent: a forecast under way is old then
  private truth: Board | null = null
  private line: Sent[] = []
  private chain: Promise<unknown> = Promise.resolve()
  private looking = false
  private wanted: { edits: Edit[]; ids: string[] } | null = null
  private asked = 0
  private channel: BroadcastChannel | null = null
  private timer: ReturnType<typeof setInterval> | undefined
  private gone = false
  private away = false // the problem is that nobody answered

  constructor(
    readonly tank: string,
    readonly inches: () => boolean,
  ) {}

  async open(): Promise<void> {
    await this.load()
    if (typeof BroadcastChannel !== 'undefined') {
      this.channel = new BroadcastChannel(`littoral.board.${this.tank}`)
      this.channel.onmessage = (e: MessageEvent<string>) => {
        if (this.truth && e.data !== this.truth.revision) void this.again()
      }
    }
    addEventListener('focus', this.again)
    this.timer = setInterval(() => {
      if (document.visibilityState === 'visible') void this.again()
    }, ASK_MS)
  }
  close(): void {
    this.gone = true
    this.channel?.close()
    removeEventListener('focus', this.again)
    clearInterval(this.timer)
  }

  private async load(): Promise<void> {
    try {
      this.take(await server.board(this.tank))
      this.problem = ''
    } catch (e) {
      this.fail(e)
    }
  }
  // Whether another window has changed the plan: then the newer one is shown, and said.
  private again = async (): Promise<void> => {
    await this.chain
    if (!this.truth || this.gone || this.line.length) return
    const known = this.truth.revision
    try {
      const b = await server.board(this.tank)
      // What was kept here while the answer was on its way is newer than it.
      if (!this.gone && this.line.length === 0 && this.truth.revision === known && b.revision !== known) {
        this.take(b)
        this.told = t('boardOther')
        this.live = null
      }
    } catch (e) {
      this.fail(e)
    }
  }
  private take(b: Board): void {
    this.truth = b
    this.show()
    const keys = new Set(b.items.map(keyOf))
    if ([...this.chosen].some((k) => !keys.has(k))) this.chosen = new Set([...this.chosen].filter((k) => keys.has(k)))
  }
  private show(): void {
    if (!this.truth) return
    let b = this.truth
    for (const s of this.line) if (s.local.size) b = withItems(b, s.local)
    this.board = b
  }
  private fail(e: unknown): void {
    if (e instanceof NeedsLogin) {
      go('/login', true)
      return
    }
    this.problem = (e as Error).message
    if (e instanceof Refused) this.problems = e.problems
  }

  /** Shows items as changed and sends the edits that say the same. */
  change(label: string, items: readonly Item[]): void {
    if (!this.board) return
    const local = new Map<string, Item>()
    const edits: Edit[] = []
    const by = new Map(this.board.items.map((i) => [keyOf(i), i]))
    for (const i of items) {
      const was = by.get(keyOf(i))
      if (!was) continue
      local.set(keyOf(i), i)
      edits.push(...editsOf(was, i, this.inches()))
    }
    if (edits.length) void this.send(label, edits, local)
  }

  /** Sends edits in order. Answers whether they are kept; what was added is chosen when asked for. */
  send(label: string, edits: Edit[], local: Map<string, Item> = new Map(), choose: readonly string[] = []): Promise<boolean> {
    const s: Sent = { label, edits, local }
    const chosen = this.chosen
    this.line.push(s)
    this.changes++
    this.show()
    return this.queue(async () => {
      let first = true
      let now = edits
      let names = new Map<string, string>()
      for (;;) {
        try {
          const b = await server.edit(this.tank, this.truth!.revision, label, now)
          this.drop(s)
          this.take(b)
          this.kept()
          this.says = label
          // Who has chosen something else meanwhile goes on with that.
          if (choose.length && this.chosen === chosen) this.choose(choose.map((k) => k.replace(/[^/]+$/, (id) => names.get(id) ?? id)), false)
          return true
        } catch (e) {
          if (e instanceof Refused && (e.status === 412 || e.status === 409) && first) {
            first = false
            this.truth = await server.board(this.tank)
            this.told = t('boardBoth')
            const r = renamed(edits, new Set(this.truth.items.map((i) => i.id)))
            now = r.edits
            names = r.names
            continue
          }
          this.drop(s)
          throw e
        }
      }
    })
  }
  private drop(s: Sent): void {
    this.line = this.line.filter((x) => x !== s)
    this.show()
  }
  private kept(): void {
    if (this.away) {
      this.away = false
      this.problem = ''
    }
    if (this.truth) this.channel?.postMessage(this.truth.revision)
  }
  private queue(work: () => Promise<boolean>): Promise<boolean> {
    const next = this.chain.then(async () => {
      if (!this.truth) return false
      this.busy = true
      try {
        return await work()
      } catch (e) {
        this.away = e instanceof Unreachable
        if (e instanceof Unreachable) this.problem = t('boardAway', { e: e.message })
        else this.fail(e)
        return false
      } finally {
        this.busy = false
      }
    })
    this.chain = next
    return next
  }

  undo(): Promise<boolean> {
    return this.back(false)
  }
  redo(): Promise<boolean> {
    return this.back(true)
  }
  private back(again: boolean): Promise<boolean> {
    return this.queue(async () => {
      const now = again ? this.truth!.redo : this.truth!.undo
      if (!now.can) {
        this.says = t(again ? 'redoNone' : 'undoNone')
        return false
      }
      try {
        this.take(await (again ? server.redo : server.undo)(this.tank, this.truth!.revision))
      } catch (e) {
        if (!(e instanceof Refused && (e.status === 412 || e.status === 409))) throw e
        this.take(await server.board(this.tank))
        this.told = t('boardOther')
        return false
      }
      this.changes++
      this.kept()
      this.says = t(again ? 'redone' : 'undone', { what: now.label })
      return true
    })
  }

  /** A change that the server makes by itself, as a copy from another tank. What it brought is chosen. */
  bring(work: (revision: string) => Promise<Board>): Promise<boolean> {
    return this.queue(async () => {
      const before = new Set(this.truth!.items.map(keyOf))
      this.take(await work(this.truth!.revision))
      this.changes++
      this.kept()
      this.chosen = new Set(this.truth!.items.map(keyOf).filter((k) => !before.has(k)))
      return true
    })
  }

  /** A file laid beside the plan: the text stays, its version goes on. */
  beside(work: (revision: string) => Promise<void>): Promise<boolean> {
    return this.queue(async () => {
      await work(this.truth!.revision)
      this.take(await server.board(this.tank))
      this.kept()
      return true
    })
  }

  /** Typed text. Answers whether it is kept; otherwise the problems stand in problems. */
  write(text: string): Promise<boolean> {
    return this.queue(async () => {
      try {
        this.take(await server.write(this.tank, this.truth!.revision, text))
      } catch (e) {
        if (e instanceof Refused && (e.status === 412 || e.status === 409)) {
          this.told = t('boardTextOther')
          this.take(await server.board(this.tank))
          return false
        }
        if (e instanceof Refused && e.problems.length) {
          this.problems = e.problems
          return false
        }
        throw e
      }
      this.changes++
      this.kept()
      return true
    })
  }

  /** Asks the engine what it thinks of items where they are just now; the last question wins. */
  look(items: readonly Item[]): void {
    if (!this.board || items.length === 0 || items.length > 60) return
    const keys = new Map(items.map((i) => [keyOf(i), i]))
    const edits: Edit[] = []
    for (const was of this.board.items) {
      const i = keys.get(keyOf(was))
      if (i) edits.push(...editsOf(was, i, this.inches()))
    }
    if (edits.length === 0) return
    this.wanted = { edits, ids: items.map((i) => i.id) }
    if (!this.looking) void this.ask()
  }
  private async ask(): Promise<void> {
    this.looking = true
    while (this.wanted && !this.gone) {
      const w = this.wanted
      this.wanted = null
      const from = performance.now()
      const n = ++this.asked
      try {
        const notes = await server.look(this.tank, w.edits, w.ids)
        if (n === this.asked) this.live = notes
      } catch {
        // notes while dragging are a help: without the server they come with the drop
      }
      const wait = LOOK_MS - (performance.now() - from)
      if (wait > 0) await new Promise((done) => setTimeout(done, wait))
    }
    this.looking = false
  }
  /** The drag is over: the board's own notes count again. */
  looked(): void {
    this.wanted = null
    this.asked++
    this.live = null
  }

  choose(keys: Iterable<string>, groups = true): void {
    const set = new Set(keys)
    this.chosen = groups && this.board ? whole(this.board.items, set) : set
  }
  toggle(key: string): void {
    if (!this.board) return
    const group = whole(this.board.items, [key])
    const set = new Set(this.chosen)
    const has = set.has(key)
    for (const k of group) if (has) set.delete(k)
    else set.add(k)
    this.chosen = set
  }
  picked(): Item[] {
    return this.board ? this.board.items.filter((i) => this.chosen.has(keyOf(i))) : []
  }
}
