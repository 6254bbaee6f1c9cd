// The tank in three dimensions. Loaded only when a page asks for it.
//
// The server gives the scene of a day as a glTF file. A few days of the forecast are kept as keyframes; between them every plant of the
// nearer one is stretched about its foot to the height it has on the way to the other, so the ruler moves the picture at once. The
// scene of the exact day follows when the ruler rests.
import {
  AmbientLight, Box3, BufferGeometry, Color, DirectionalLight, Float32BufferAttribute, Group, HemisphereLight, InstancedMesh, LineDashedMaterial, LineLoop,
  Matrix4, Mesh, type Material, MeshStandardMaterial, type Object3D, PerspectiveCamera, Quaternion, Raycaster, Scene, SRGBColorSpace, Vector3, WebGLRenderer,
} from 'three'
import { OrbitControls } from 'three/addons/controls/OrbitControls.js'
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js'
import { around } from './ruler'

export type ViewName = 'front' | 'left' | 'right' | 'back' | 'corner' | 'top'

interface Batch {
  mesh: InstancedMesh
  base: Matrix4[]
  owner: number[] // index into plants, -1 for what does not grow
}
interface Grown {
  id: string
  foot: Vector3
  height: number
}
interface Frame {
  day: number
  group: Group
  batches: Batch[]
  plants: Grown[]
  byId: Map<string, Grown>
  bed: Mesh | null
  used: number
}

const MOST_FRAMES = 10
const REST_MS = 350
const QUIET_MS = 1000

export class Stage {
  private renderer: WebGLRenderer
  private scene = new Scene()
  private camera = new PerspectiveCamera(30, 2, 0.05, 60)
  private controls: OrbitControls
  private loader = new GLTFLoader()
  private frames = new Map<number, Frame>()
  private loading = new Map<number, Promise<Frame | null>>()
  private shown: Frame | null = null
  private day = 0
  private clock = 0
  private asked = false
  private gone = false
  private timer: ReturnType<typeof setTimeout> | undefined
  private ring: LineLoop | null = null
  private size = new Vector3(1, 0.5, 0.5)
  private placed = false
  private moving = false
  private moved = 0

  constructor(
    readonly canvas: HTMLCanvasElement,
    readonly keys: readonly number[],
    readonly exact: readonly number[],
    readonly url: (day: number) => string,
    private readonly tell: (state: 'loading' | 'between' | 'exact' | 'failed', day: number) => void,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, powerPreference: 'low-power', preserveDrawingBuffer: true })
    this.renderer.outputColorSpace = SRGBColorSpace
    this.scene.add(new HemisphereLight(0xfff6e0, 0x6b6a52, 1.5), new AmbientLight(0xffffff, 0.25))
    const lamp = new DirectionalLight(0xfff4dc, 2.1)
    lamp.position.set(0.4, 3, 1.1)
    this.scene.add(lamp)
    this.controls = new OrbitControls(this.camera, canvas)
    this.controls.enableDamping = false
    this.controls.enablePan = false
    this.controls.maxPolarAngle = Math.PI * 0.56
    this.controls.addEventListener('change', () => this.ask())
    canvas.dataset.frames = '0'
  }

  /** Size in pixels of the page. */
  resize(w: number, h: number): void {
    if (w < 2 || h < 2) return
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2))
    this.renderer.setSize(w, h, false)
    this.camera.aspect = w / h
    this.camera.updateProjectionMatrix()
    if (this.placed) this.ask()
  }

  /** Moves the tank to a day: at once from keyframes, exactly when the day rests. */
  show(day: number): void {
    this.day = day
    this.moved = performance.now()
    if (!this.moving) {
      this.moving = true
      // The ruler's own frame goes first; a slow machine takes the last day asked for, not each one.
      requestAnimationFrame(() =>
        setTimeout(() => {
          this.moving = false
          if (!this.gone) this.between()
        }),
      )
    }
    clearTimeout(this.timer)
    this.timer = setTimeout(() => void this.settle(), this.frames.size === 0 ? 0 : REST_MS)
  }

  /** Fetches the keyframes one after the other, nearest first. */
  async preload(): Promise<void> {
    for (const k of [...this.keys].sort((a, b) => Math.abs(a - this.day) - Math.abs(b - this.day))) {
      // Reading a scene holds the page for a moment: only while nobody moves the ruler.
      while (!this.gone && performance.now() - this.moved < QUIET_MS) await new Promise((done) => setTimeout(done, QUIET_MS / 2))
      if (this.gone) return
      await this.fetch(k)
      if (this.shown?.day !== this.near(this.day)) this.between()
    }
  }

  view(name: ViewName): void {
    const s = this.size
    const mid = new Vector3(s.x / 2, s.y * 0.47, -s.z / 2)
    const fit = (w: number, h: number) => Math.max(h / 2 / Math.tan((this.camera.fov * Math.PI) / 360), w / 2 / Math.tan((this.camera.fov * Math.PI) / 360) / this.camera.aspect) * 1.12
    const front = fit(s.x, s.y)
    const side = fit(s.z, s.y)
    const d = (x: number, y: number, z: number) => this.camera.position.set(mid.x + x, mid.y + y, mid.z + z)
    switch (name) {
      case 'front': d(0, s.y * 0.12, s.z / 2 + front); break
      case 'back': d(0, s.y * 0.12, -s.z / 2 - front); break
      case 'left': d(-s.x / 2 - side, s.y * 0.12, 0.001); break
      case 'right': d(s.x / 2 + side, s.y * 0.12, 0.001); break
      case 'corner': d(-s.x * 0.55, s.y * 0.5, s.z / 2 + front * 0.86); break
      case 'top': d(0, fit(s.x, s.z) + s.y / 2, 0.01); break
    }
    this.controls.target.copy(mid)
    this.controls.update()
    this.ask()
  }

  /** Turns the tank by a share of a full turn: the keys of the page. */
  turn(by: number): void {
    const to = this.camera.position.clone().sub(this.controls.target)
    to.applyAxisAngle(new Vector3(0, 1, 0), by * 2 * Math.PI)
    this.camera.position.copy(this.controls.target).add(to)
    this.controls.update()
    this.ask()
  }

  /** A dotted ring lies on the bed at a place (m from the front-left corner), or none. */
  mark(at: { x: number; y: number } | null, hue: string): void {
    if (this.ring) {
      this.scene.remove(this.ring)
      this.ring.geometry.dispose()
      this.ring = null
    }
    if (at && this.shown) {
      const from = new Vector3(at.x, this.size.y, -at.y)
      let y = 0.06
      if (this.shown.bed) {
        const hit = new Raycaster(from, new Vector3(0, -1, 0)).intersectObject(this.shown.bed, false)[0]
        if (hit) y = hit.point.y + 0.012
      }
      const r = Math.max(0.06, this.size.x * 0.045)
      const p: number[] = []
      for (let i = 0; i < 64; i++) p.push(at.x + r * Math.cos((i / 64) * 2 * Math.PI), y, -at.y + r * Math.sin((i / 64) * 2 * Math.PI))
      const g = new BufferGeometry()
      g.setAttribute('position', new Float32BufferAttribute(p, 3))
      this.ring = new LineLoop(g, new LineDashedMaterial({ color: new Color(hue), dashSize: 0.012, gapSize: 0.01, depthTest: false }))
      this.ring.computeLineDistances()
      this.ring.renderOrder = 5
      this.scene.add(this.ring)
    }
    this.ask()
  }

  picture(): Promise<Blob | null> {
    this.draw()
    return new Promise((done) => this.canvas.toBlob(done, 'image/png'))
  }

  dispose(): void {
    this.gone = true
    clearTimeout(this.timer)
    this.controls.dispose()
    for (const f of this.frames.values()) this.drop(f)
    this.frames.clear()
    this.renderer.dispose()
  }

  private near(day: number): number {
    let best = this.exact[0] ?? 0
    for (const d of this.exact) if (Math.abs(d - day) < Math.abs(best - day)) best = d
    return best
  }

  private async settle(): Promise<void> {
    const d = this.near(this.day)
    if (!this.frames.has(d)) this.tell('loading', d)
    const f = await this.fetch(d)
    if (this.gone) return
    if (this.near(this.day) !== d) return
    if (!f) {
      this.tell('failed', d)
      return
    }
    this.stand(f, null, 0)
    this.tell('exact', d)
  }

  private between(): void {
    const have = [...this.frames.keys()].sort((a, b) => a - b)
    if (have.length === 0) return
    const { before, after, share } = around(have, Math.min(Math.max(this.day, have[0]!), have[have.length - 1]!))
    const a = this.frames.get(before)!
    const b = this.frames.get(after)!
    if (share < 0.5) this.stand(a, b === a ? null : b, share)
    else this.stand(b, a === b ? null : a, 1 - share)
    if (before !== after || before !== this.day) this.tell('between', this.day)
  }

  /** Shows a frame, its plants on their way to another by a share up to one half. */
  private stand(f: Frame, other: Frame | null, share: number): void {
    f.used = ++this.clock
    if (this.shown !== f) {
      if (this.shown) this.scene.remove(this.shown.group)
      this.scene.add(f.group)
      this.shown = f
    }
    const scales = f.plants.map((p) => {
      if (!other) return 1
      const q = other.byId.get(p.id)
      const to = q ? q.height : 0
      return Math.min(3, Math.max(0.02, (p.height + (to - p.height) * share) / Math.max(0.002, p.height)))
    })
    const m = new Matrix4()
    const away = new Matrix4()
    const back = new Matrix4()
    const grow = new Matrix4()
    for (const b of f.batches) {
      for (let i = 0; i < b.base.length; i++) {
        const o = b.owner[i]!
        if (o < 0 || scales[o] === 1) b.mesh.setMatrixAt(i, b.base[i]!)
        else {
          const p = f.plants[o]!.foot
          const s = scales[o]!
          away.makeTranslation(-p.x, -p.y, -p.z)
          back.makeTranslation(p.x, p.y, p.z)
          grow.makeScale(s, s, s)
          m.copy(back).multiply(grow).multiply(away).multiply(b.base[i]!)
          b.mesh.setMatrixAt(i, m)
        }
      }
      b.mesh.instanceMatrix.needsUpdate = true
    }
    if (!this.placed) {
      this.placed = true
      this.view('front')
    }
    this.ask()
  }

  private fetch(day: number): Promise<Frame | null> {
    const have = this.frames.get(day)
    if (have) return Promise.resolve(have)
    const under = this.loading.get(day)
    if (under) return under
    const p = this.read(day)
      .catch(() => null)
      .finally(() => this.loading.delete(day))
    this.loading.set(day, p)
    return p
  }

  private async read(day: number): Promise<Frame | null> {
    const answer = await fetch(this.url(day))
    if (!answer.ok) return null
    const { file, places } = unfold(await answer.arrayBuffer())
    const gltf = await this.loader.parseAsync(file, '')
    if (this.gone) return null
    const f = this.sort(day, gltf.scene, places)
    this.frames.set(day, f)
    while (this.frames.size > MOST_FRAMES) {
      const old = [...this.frames.values()].filter((x) => x !== this.shown && x !== f && !this.keys.includes(x.day)).sort((a, b) => a.used - b.used)[0]
        ?? [...this.frames.values()].filter((x) => x !== this.shown && x !== f).sort((a, b) => a.used - b.used)[0]
      if (!old) break
      this.frames.delete(old.day)
      this.drop(old)
    }
    return f
  }

  /** Makes a batch of each mesh with all its places, and finds the plants: their names hold a stroke. */
  private sort(day: number, root: Object3D, places: Place[][]): Frame {
    const group = new Group()
    const plants: Grown[] = []
    const boxes: Box3[] = []
    const index = new Map<string, number>()
    const batches: Batch[] = []
    let bed: Mesh | null = null
    for (const o of root.children) {
      const at = places[Number(o.name.slice(1))] ?? []
      if (at.length === 0) continue
      const owner = at.map((p) => {
        if (!p.owner.includes('/')) return -1
        let i = index.get(p.owner)
        if (i === undefined) {
          i = plants.length
          index.set(p.owner, i)
          plants.push({ id: p.owner, foot: new Vector3(), height: 0 })
          boxes.push(new Box3())
        }
        return i
      })
      const base = at.map((p) => p.matrix)
      o.traverse((m) => {
        if (!(m instanceof Mesh)) return
        const material = m.material as Material
        const geometry = m.geometry as BufferGeometry
        if (!geometry.boundingBox) geometry.computeBoundingBox()
        owner.forEach((w, i) => {
          if (w >= 0) boxes[w]!.union(geometry.boundingBox!.clone().applyMatrix4(base[i]!))
        })
        if (material.name === 'bed' && !bed) bed = m
        if (material.name === 'glass') this.measure(geometry.boundingBox!)
        if (material.transparent) material.depthWrite = false
        if (material instanceof MeshStandardMaterial && material.name.startsWith('leaf')) material.roughness = 0.75
        const mesh = new InstancedMesh(geometry, material, base.length)
        mesh.frustumCulled = false
        if (material.transparent) mesh.renderOrder = 2
        group.add(mesh)
        batches.push({ mesh, base, owner })
      })
    }
    plants.forEach((p, i) => {
      const b = boxes[i]!
      if (b.isEmpty()) return
      p.foot.set((b.min.x + b.max.x) / 2, b.min.y, (b.min.z + b.max.z) / 2)
      p.height = b.max.y - b.min.y
    })
    return { day, group, batches, plants, byId: new Map(plants.map((p) => [p.id, p])), bed, used: ++this.clock }
  }

  private measure(b: Box3): void {
    this.size.set(b.max.x - Math.max(0, b.min.x), b.max.y, -b.min.z)
  }

  private drop(f: Frame): void {
    for (const b of f.batches) {
      b.mesh.geometry.dispose()
      ;(b.mesh.material as Material).dispose()
      b.mesh.dispose()
    }
  }

  private ask(): void {
    if (this.asked || this.gone) return
    this.asked = true
    requestAnimationFrame(() => {
      this.asked = false
      if (!this.gone) this.draw()
    })
  }

  private draw(): void {
    this.renderer.render(this.scene, this.camera)
    this.canvas.dataset.frames = String(Number(this.canvas.dataset.frames) + 1)
  }
}

interface Place {
  matrix: Matrix4
  owner: string // name of the thing to which it belongs
}
interface Node {
  name?: string
  mesh?: number
  children?: number[]
  matrix?: number[]
  translation?: [number, number, number]
  rotation?: [number, number, number, number]
  scale?: [number, number, number]
}

/**
 * A scene stands as thousands of nodes that share some hundred meshes. For the loader the file is written anew with one node for each mesh,
 * named m and its number; where each mesh stands, and to whom it belongs, is read here. It saves most of the loader's time.
 * (Binary glTF 2.0: a header of 12 bytes, then chunks of length, kind and content; Khronos specification, section 4.4.)
 */
export function unfold(file: ArrayBuffer): { file: ArrayBuffer; places: Place[][] } {
  const head = new DataView(file)
  const length = head.getUint32(12, true)
  const doc = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 20, length))) as { nodes: Node[]; scenes: { nodes: number[] }[]; scene?: number; meshes: unknown[] }
  const places: Place[][] = doc.meshes.map(() => [])
  const walk = (n: number, above: Matrix4 | null, owner: string): void => {
    const node = doc.nodes[n]
    if (!node) return
    let m = new Matrix4()
    if (node.matrix) m.fromArray(node.matrix)
    else m.compose(new Vector3(...(node.translation ?? [0, 0, 0])), new Quaternion(...(node.rotation ?? [0, 0, 0, 1])), new Vector3(...(node.scale ?? [1, 1, 1])))
    if (above) m = above.clone().multiply(m)
    const name = owner || (node.name ?? '')
    if (node.mesh !== undefined) places[node.mesh]?.push({ matrix: m, owner: name })
    for (const c of node.children ?? []) walk(c, m, name)
  }
  for (const n of doc.scenes[doc.scene ?? 0]?.nodes ?? []) walk(n, null, '')
  const bare = { ...doc, nodes: doc.meshes.map((_, i) => ({ mesh: i, name: `m${i}` })), scenes: [{ nodes: doc.meshes.map((_, i) => i) }], scene: 0 }
  const json = new TextEncoder().encode(JSON.stringify(bare))
  const padded = (json.length + 3) & ~3
  const rest = new Uint8Array(file, 20 + length)
  const out = new Uint8Array(20 + padded + rest.length)
  const view = new DataView(out.buffer)
  view.setUint32(0, head.getUint32(0, true), true)
  view.setUint32(4, head.getUint32(4, true), true)
  view.setUint32(8, out.length, true)
  view.setUint32(12, padded, true)
  view.setUint32(16, head.getUint32(16, true), true)
  out.set(json, 20)
  out.fill(0x20, 20 + json.length, 20 + padded)
  out.set(rest, 20 + padded)
  return { file: out.buffer, places }
}
