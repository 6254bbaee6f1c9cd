// The board in three dimensions, from its own model: it follows a drag at once. Loaded only when the page shows it. Metres, y up, the
// front glass towards the eye.
import {
  AmbientLight, BufferGeometry, Color, DirectionalLight, DoubleSide, Float32BufferAttribute, Group, HemisphereLight, InstancedMesh, LineBasicMaterial, LineSegments, Matrix4, Mesh,
  MeshLambertMaterial, type Object3D, OrthographicCamera, PerspectiveCamera, Plane, Quaternion, Raycaster, Scene, SRGBColorSpace, Vector2, Vector3, WebGLRenderer,
} from 'three'
import { OrbitControls } from 'three/addons/controls/OrbitControls.js'
import { heightAt } from './geometry'
import { keyOf, type Board, type Hard, type Item, type Plant, type Pt } from './model'

export type SolidView = 'turn' | 'front' | 'left' | 'right' | 'back' | 'seated' | 'standing' | 'section'
export interface Body {
  id: string
  vertices: number[]
  faces: number[]
}
export interface Grown {
  id: string
  at: Pt
  z: number
  heightCM: number
  spreadCM: number
  colour: string
  form: string
}

/** Eyes of people before a tank whose bottom stands 75 cm over the floor: seated 120 cm, standing 160 cm. Common practice, no source. */
export const EYES = { seated: 45, standing: 85, awayCM: 150 }

const CM = 0.01
const up = new Vector3(0, 1, 0)
const colour = (name: string): Color => new Color(getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim() || '#888888')

interface Stand {
  mesh: InstancedMesh
  slots: Map<string, [number, number]> // planting to first and count
}

export class Solid {
  private renderer: WebGLRenderer
  private scene = new Scene()
  private eye = new PerspectiveCamera(35, 2, 0.02, 60)
  private flat = new OrthographicCamera(-1, 1, 1, -1, 0.01, 60)
  private view: SolidView = 'turn'
  private controls: OrbitControls
  private still = new Group() // glass and ground
  private pieces = new Map<string, Mesh>()
  private plants = new Group()
  private stands: Stand[] = []
  private rims: Object3D | null = null
  private bodies = new Map<string, Body>()
  private bodiesOf: Board | null = null // where the pieces stood when their bodies were read
  private board: Board | null = null
  private ghost: readonly Grown[] | null = null
  private chosen: ReadonlySet<string> = new Set()
  private section: [Pt, Pt] | null = null
  private asked = false
  private gone = false
  private placed = false

  constructor(readonly canvas: HTMLCanvasElement) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, powerPreference: 'low-power' })
    this.renderer.outputColorSpace = SRGBColorSpace
    this.scene.add(new HemisphereLight(0xfff6e0, 0x6b6a52, 1.7), new AmbientLight(0xffffff, 0.35), this.still, this.plants)
    const lamp = new DirectionalLight(0xfff4dc, 1.9)
    lamp.position.set(0.5, 3, 1.2)
    this.scene.add(lamp)
    this.controls = new OrbitControls(this.eye, canvas)
    this.controls.enableDamping = false
    this.controls.enableZoom = false // the page scrolls; keys and buttons go nearer
    this.controls.maxPolarAngle = Math.PI * 0.56
    this.controls.addEventListener('change', () => this.ask())
    canvas.dataset.frames = '0'
  }

  resize(w: number, h: number): void {
    if (w < 2 || h < 2) return
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2))
    this.renderer.setSize(w, h, false)
    this.eye.aspect = w / h
    this.eye.updateProjectionMatrix()
    if (this.board) this.look(this.view)
  }

  set(b: Board): void {
    const before = this.board
    this.board = b
    if (!before || before.ground !== b.ground || before.tank.lengthCM !== b.tank.lengthCM || before.tank.waterCM !== b.tank.waterCM) this.build()
    this.hardscape()
    this.grow()
    if (!this.placed) {
      this.placed = true
      this.look('turn')
    }
    this.mark(this.chosen)
    this.ask()
  }

  /** Bodies of the pieces as the engine has them, for the board they were read of. */
  setBodies(b: Board, bodies: readonly Body[]): void {
    this.bodies = new Map(bodies.map((x) => [x.id, x]))
    this.bodiesOf = b
    if (this.board) {
      this.clear(this.pieces.values())
      this.pieces.clear()
      this.hardscape()
      this.mark(this.chosen)
      this.ask()
    }
  }

  setGhost(g: readonly Grown[] | null): void {
    this.ghost = g
    if (this.board) {
      this.grow()
      this.ask()
    }
  }

  /** Items where they lie while they are dragged. */
  move(items: readonly Item[]): void {
    if (!this.board) return
    for (const i of items) {
      if (i.list === 'hardscape') this.place(i)
      else if (i.list === 'plants' && !this.ghost) this.shift(i)
    }
    this.ask()
  }

  mark(keys: ReadonlySet<string>): void {
    this.chosen = keys
    for (const [id, m] of this.pieces) (m.material as MeshLambertMaterial).emissive = keys.has(`hardscape/${id}`) ? colour('warn').multiplyScalar(0.35) : new Color(0)
    if (this.rims) {
      this.scene.remove(this.rims)
      this.rims.traverse((o) => (o as LineSegments).geometry?.dispose())
      this.rims = null
    }
    const p: number[] = []
    for (const i of this.board?.items ?? []) {
      if (i.list !== 'plants' || !keys.has(keyOf(i))) continue
      for (const q of i.places) {
        const r = Math.max(1, Math.min(8, i.grownSpreadCM / 2))
        for (let k = 0; k < 20; k += 2) {
          for (const a of [k, k + 1]) p.push((q[0] + r * Math.cos((a * Math.PI) / 10)) * CM, q[2] * CM + 0.008, -(q[1] + r * Math.sin((a * Math.PI) / 10)) * CM)
        }
      }
    }
    if (p.length) {
      const g = new BufferGeometry()
      g.setAttribute('position', new Float32BufferAttribute(p, 3))
      const rims = new LineSegments(g, new LineBasicMaterial({ color: colour('warn'), depthTest: false }))
      rims.renderOrder = 5
      this.rims = rims
      this.scene.add(rims)
    }
    this.ask()
  }

  setSection(line: [Pt, Pt] | null): void {
    this.section = line
    if (this.view === 'section') this.look(line ? 'section' : 'turn')
  }

  look(view: SolidView): void {
    const b = this.board
    if (!b) return
    this.view = view
    const L = b.tank.lengthCM * CM
    const W = b.tank.widthCM * CM
    const H = b.tank.heightCM * CM
    const aspect = this.eye.aspect
    const mid = new Vector3(L / 2, H / 2, -W / 2)
    this.renderer.clippingPlanes = []
    this.controls.enabled = view === 'turn'
    const frame = (w: number, h: number): void => {
      const half = Math.max(h / 2, w / 2 / aspect) * 1.06
      this.flat.left = -half * aspect
      this.flat.right = half * aspect
      this.flat.top = half
      this.flat.bottom = -half
      this.flat.updateProjectionMatrix()
    }
    const from = (p: Vector3, to: Vector3): void => {
      this.flat.position.copy(p)
      this.flat.up.copy(up)
      this.flat.lookAt(to)
      this.flat.updateMatrixWorld()
    }
    switch (view) {
      case 'front':
        frame(L, H)
        from(new Vector3(L / 2, H / 2, 10), mid)
        break
      case 'back':
        frame(L, H)
        from(new Vector3(L / 2, H / 2, -10 - W), mid)
        break
      case 'left':
        frame(W, H)
        from(new Vector3(-10, H / 2, -W / 2), mid)
        break
      case 'right':
        frame(W, H)
        from(new Vector3(10 + L, H / 2, -W / 2), mid)
        break
      case 'section': {
        const s = this.section ?? [[0, b.tank.widthCM / 2], [b.tank.lengthCM, b.tank.widthCM / 2]]
        const a = new Vector3(s[0][0] * CM, 0, -s[0][1] * CM)
        const c = new Vector3(s[1][0] * CM, 0, -s[1][1] * CM)
        const along = c.clone().sub(a).normalize()
        const away = new Vector3().crossVectors(up, along).normalize() // from the line to what is seen, the line running left to right
        frame(Math.max(0.1, a.distanceTo(c)), H)
        const m = a.clone().add(c).multiplyScalar(0.5).setY(H / 2)
        from(m.clone().addScaledVector(away, -10), m)
        this.renderer.clippingPlanes = [new Plane().setFromNormalAndCoplanarPoint(away, a)]
        break
      }
      case 'seated':
      case 'standing':
        this.eye.fov = 40
        this.eye.position.set(L / 2, EYES[view] * CM, EYES.awayCM * CM + L * 0.25)
        this.eye.up.copy(up)
        this.eye.lookAt(mid)
        this.eye.updateProjectionMatrix()
        this.eye.updateMatrixWorld()
        break
      case 'turn': {
        this.eye.fov = 32
        this.eye.updateProjectionMatrix()
        const t = Math.tan((this.eye.fov * Math.PI) / 360)
        const reach = Math.hypot(L, W) / 2
        const d = Math.max((H / 2 + W / 4) / t, reach / t / aspect) * 1.1
        const way = new Vector3(-0.3, 0.34, 1).normalize()
        this.eye.position.copy(mid).addScaledVector(way, d + W / 2)
        this.controls.target.copy(mid).setY(H * 0.42)
        this.controls.update()
      }
    }
    this.ask()
  }

  turn(by: number): void {
    const to = this.eye.position.clone().sub(this.controls.target).applyAxisAngle(up, by * 2 * Math.PI)
    this.eye.position.copy(this.controls.target).add(to)
    this.controls.update()
    this.ask()
  }
  nearer(by: number): void {
    this.eye.position.copy(this.controls.target).add(this.eye.position.clone().sub(this.controls.target).multiplyScalar(1 / by))
    this.controls.update()
    this.ask()
  }

  /** The item under a place of the canvas, -1 to 1 from left and from below. */
  at(x: number, y: number): string | null {
    const ray = new Raycaster()
    ray.setFromCamera(new Vector2(x, y), this.camera())
    const hits = ray.intersectObjects([...this.pieces.values(), ...this.plants.children], false).filter((h) => this.renderer.clippingPlanes.every((p) => p.distanceToPoint(h.point) >= 0))
    const h = hits[0]
    if (!h) return null
    for (const [id, m] of this.pieces) if (m === h.object) return `hardscape/${id}`
    for (const s of this.stands) if (s.mesh === h.object && h.instanceId !== undefined) for (const [id, [from, n]] of s.slots) if (h.instanceId >= from && h.instanceId < from + n) return `plants/${id}`
    return null
  }

  dispose(): void {
    this.gone = true
    this.controls.dispose()
    this.clear(this.pieces.values())
    this.wipe(this.plants)
    this.wipe(this.still)
    this.renderer.dispose()
  }

  private camera(): PerspectiveCamera | OrthographicCamera {
    return this.view === 'turn' || this.view === 'seated' || this.view === 'standing' ? this.eye : this.flat
  }
  private wipe(g: Group): void {
    this.clear(g.children as Mesh[])
    g.clear()
  }
  private clear(list: Iterable<Object3D>): void {
    for (const o of [...list]) {
      o.removeFromParent()
      const m = o as Mesh
      if (m instanceof InstancedMesh) m.dispose()
      else m.geometry?.dispose()
      ;(m.material as MeshLambertMaterial | undefined)?.dispose?.()
    }
  }

  // Glass as lines, water as a plane, the bed as a surface with its flanks.
  private build(): void {
    const b = this.board!
    this.wipe(this.still)
    const o = b.tank.outline
    const lines: number[] = []
    const H = b.tank.heightCM
    for (let i = 0; i < o.length; i++) {
      const p = o[i]!
      const q = o[(i + 1) % o.length]!
      for (const z of [0, H, b.tank.waterCM]) lines.push(p[0] * CM, z * CM, -p[1] * CM, q[0] * CM, z * CM, -q[1] * CM)
      if (o.length < 12 || i % Math.ceil(o.length / 8) === 0) lines.push(p[0] * CM, 0, -p[1] * CM, p[0] * CM, H * CM, -p[1] * CM)
    }
    const g = new BufferGeometry()
    g.setAttribute('position', new Float32BufferAttribute(lines, 3))
    this.still.add(new LineSegments(g, new LineBasicMaterial({ color: colour('waterl') })))
    this.still.add(this.bed(b))
  }
  private bed(b: Board): Mesh {
    const g = b.ground
    const p: number[] = []
    const index: number[] = []
    const convex = b.tank.shape === 'box'
    const clampTo = (x: number, y: number): Pt => (convex ? [x, y] : pulled([x, y], b.tank.outline))
    for (let y = 0; y < g.ny; y++)
      for (let x = 0; x < g.nx; x++) {
        const q = clampTo(x * g.dx, y * g.dy)
        p.push(q[0] * CM, heightAt(g, q) * CM, -q[1] * CM)
      }
    for (let y = 0; y < g.ny - 1; y++)
      for (let x = 0; x < g.nx - 1; x++) {
        const n = y * g.nx + x
        index.push(n, n + 1, n + g.nx, n + 1, n + g.nx + 1, n + g.nx)
      }
    // Flanks along the glass.
    const o = b.tank.outline
    for (let i = 0; i < o.length; i++) {
      const a = o[i]!
      const c = o[(i + 1) % o.length]!
      const n = Math.max(1, Math.round(Math.hypot(c[0] - a[0], c[1] - a[1]) / 4))
      for (let k = 0; k < n; k++) {
        const u = (m: number): Pt => [a[0] + ((c[0] - a[0]) * m) / n, a[1] + ((c[1] - a[1]) * m) / n]
        const s = u(k)
        const e = u(k + 1)
        const at = p.length / 3
        for (const q of [s, e]) p.push(q[0] * CM, 0, -q[1] * CM, q[0] * CM, heightAt(g, q) * CM, -q[1] * CM)
        index.push(at, at + 2, at + 1, at + 2, at + 3, at + 1)
      }
    }
    const geometry = new BufferGeometry()
    geometry.setAttribute('position', new Float32BufferAttribute(p, 3))
    geometry.setIndex(index)
    geometry.computeVertexNormals()
    const soil = new Color('#8a7558')
    return new Mesh(geometry, new MeshLambertMaterial({ color: soil, side: DoubleSide }))
  }

  private hardscape(): void {
    const b = this.board!
    const want = new Map(b.items.filter((i): i is Hard => i.list === 'hardscape').map((h) => [h.id, h]))
    for (const [id, m] of this.pieces) {
      const h = want.get(id)
      if (!h || m.userData.shape !== shapeKey(h) || m.userData.kind !== h.kind) {
        this.clear([m])
        this.pieces.delete(id)
      }
    }
    for (const h of want.values()) {
      if (!this.pieces.has(h.id)) {
        const from = this.bodiesOf?.items.find((i): i is Hard => i.list === 'hardscape' && i.id === h.id)
        const body = this.bodies.get(h.id)
        const fits = body && from && shapeKey(from) === shapeKey(h)
        const m = new Mesh(fits ? bodyGeometry(body, from) : h.limbs.length ? limbGeometry(h) : blockGeometry(h), new MeshLambertMaterial({ color: h.kind === 'wood' ? new Color('#8a6a4b') : new Color('#9c988c'), flatShading: h.kind === 'stone', side: DoubleSide }))
        m.userData = { shape: shapeKey(h), kind: h.kind, turn: fits ? from.turn : h.turn, base: fits ? from.baseCM : h.baseCM }
        this.pieces.set(h.id, m)
        this.scene.add(m)
      }
      this.place(h)
    }
  }
  private place(h: Hard): void {
    const m = this.pieces.get(h.id)
    const b = this.board
    if (!m || !b) return
    const was = b.items.find((i): i is Hard => i.list === 'hardscape' && i.id === h.id)
    const scale = was && was.shape.lengthCM > 0 ? h.shape.lengthCM / was.shape.lengthCM : 1
    m.position.set(h.at[0] * CM, h.baseCM * CM, -h.at[1] * CM)
    m.quaternion.setFromAxisAngle(up, ((h.turn - (m.userData.turn as number)) * Math.PI) / 180)
    m.scale.setScalar(scale)
  }

  private grow(): void {
    const b = this.board!
    this.wipe(this.plants)
    this.stands = []
    interface One { id: string; x: number; y: number; z: number; h: number; w: number; colour: string }
    const by = new Map<string, One[]>()
    const put = (form: string, o: One): void => {
      const list = by.get(form)
      if (list) list.push(o)
      else by.set(form, [o])
    }
    if (this.ghost) for (const g of this.ghost) put(figure(g.form), { id: g.id, x: g.at[0], y: g.at[1], z: g.z, h: g.heightCM, w: g.spreadCM, colour: g.colour })
    else
      for (const i of b.items) {
        if (i.list !== 'plants') continue
        const h = i.heightCM > 0 ? i.heightCM : Math.min(i.grownHeightCM, Math.max(2, i.grownHeightCM * 0.45))
        const w = Math.max(1.5, Math.min(i.grownSpreadCM, h * 1.2))
        for (const q of i.places) put(figure(i.form), { id: i.id, x: q[0], y: q[1], z: q[2], h: i.way === 'afloat' ? 1 : h, w, colour: i.colour })
      }
    const m = new Matrix4()
    const turn = new Quaternion()
    const at = new Vector3()
    const size = new Vector3()
    for (const [form, list] of by) {
      const mesh = new InstancedMesh(figureGeometry(form), new MeshLambertMaterial({ side: DoubleSide }), list.length)
      mesh.frustumCulled = false
      const slots = new Map<string, [number, number]>()
      list.forEach((o, n) => {
        turn.setFromAxisAngle(up, n * 2.4)
        mesh.setMatrixAt(n, m.compose(at.set(o.x * CM, o.z * CM, -o.y * CM), turn, size.set(o.w * CM, o.h * CM, o.w * CM)))
        mesh.setColorAt(n, new Color(o.colour || '#4f6f52'))
        const s = slots.get(o.id)
        if (s) s[1]++
        else slots.set(o.id, [n, 1])
      })
      this.plants.add(mesh)
      this.stands.push({ mesh, slots })
    }
  }
  private shift(i: Plant): void {
    const m = new Matrix4()
    const g = this.board!.ground
    for (const s of this.stands) {
      const slot = s.slots.get(i.id)
      if (!slot) continue
      for (let n = 0; n < slot[1]; n++) {
        const q = i.places[n]
        if (!q) break
        s.mesh.getMatrixAt(slot[0] + n, m)
        m.elements[12] = q[0] * CM
        m.elements[13] = (i.way === 'on' || i.way === 'afloat' ? q[2] : heightAt(g, [q[0], q[1]])) * CM
        m.elements[14] = -q[1] * CM
        s.mesh.setMatrixAt(slot[0] + n, m)
      }
      s.mesh.instanceMatrix.needsUpdate = true
    }
  }

  private ask(): void {
    if (this.asked || this.gone) return
    this.asked = true
    requestAnimationFrame(() => {
      this.asked = false
      if (this.gone || !this.board) return
      this.renderer.render(this.scene, this.camera())
      this.canvas.dataset.frames = String(Number(this.canvas.dataset.frames) + 1)
    })
  }
}

const shapeKey = (h: Hard): string => JSON.stringify([h.shape, Math.round(h.tilt * 10), Math.round(h.lean * 10), h.mirrored])

// A point of the lattice outside of a round or bowed glass is drawn in to its outline.
function pulled(p: Pt, o: readonly Pt[]): Pt {
  let best: Pt = p
  let d = Infinity
  let is = false
  for (let i = 0, j = o.length - 1; i < o.length; j = i++) {
    const a = o[i]!
    const b = o[j]!
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) is = !is
    const dx = b[0] - a[0]
    const dy = b[1] - a[1]
    const u = Math.max(0, Math.min(1, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy || 1)))
    const q: Pt = [a[0] + u * dx, a[1] + u * dy]
    const e = Math.hypot(p[0] - q[0], p[1] - q[1])
    if (e < d) {
      d = e
      best = q
    }
  }
  return is ? p : best
}

function bodyGeometry(b: Body, h: Hard): BufferGeometry {
  const p = new Float32Array(b.vertices.length)
  for (let i = 0; i < p.length; i += 3) {
    p[i] = (b.vertices[i]! - h.at[0]) * CM
    p[i + 1] = (b.vertices[i + 2]! - h.baseCM) * CM
    p[i + 2] = -(b.vertices[i + 1]! - h.at[1]) * CM
  }
  const g = new BufferGeometry()
  g.setAttribute('position', new Float32BufferAttribute(p, 3))
  g.setIndex(b.faces)
  g.computeVertexNormals()
  return g
}

// A root by its limbs: six-sided skins.
function limbGeometry(h: Hard): BufferGeometry {
  const p: number[] = []
  const a = new Vector3()
  const b = new Vector3()
  const way = new Vector3()
  const u = new Vector3()
  const v = new Vector3()
  const N = 6
  for (const l of h.limbs) {
    a.set(l[0] - h.at[0], l[2] - h.baseCM, -(l[1] - h.at[1])).multiplyScalar(CM)
    b.set(l[3] - h.at[0], l[5] - h.baseCM, -(l[4] - h.at[1])).multiplyScalar(CM)
    way.subVectors(b, a).normalize()
    u.set(0.3, 0.8, 0.5).cross(way).normalize()
    v.crossVectors(way, u)
    const rim = (c: Vector3, r: number, k: number): Vector3 => c.clone().addScaledVector(u, r * CM * Math.cos((k * 2 * Math.PI) / N)).addScaledVector(v, r * CM * Math.sin((k * 2 * Math.PI) / N))
    for (let k = 0; k < N; k++) {
      const q = [rim(a, l[6], k), rim(a, l[6], k + 1), rim(b, l[7], k), rim(b, l[7], k + 1)]
      for (const n of [0, 1, 2, 1, 3, 2]) p.push(q[n]!.x, q[n]!.y, q[n]!.z)
    }
  }
  const g = new BufferGeometry()
  g.setAttribute('position', new Float32BufferAttribute(p, 3))
  g.computeVertexNormals()
  return g
}

// Until the engine's body has come: the outline raised, drawn in a little at the top.
function blockGeometry(h: Hard): BufferGeometry {
  const o = h.outline
  const p: number[] = []
  const index: number[] = []
  const tall = Math.max(1, h.topCM - h.baseCM)
  for (const [z, f] of [[0, 1], [0.6, 0.92], [1, 0.55]] as const) for (const q of o) p.push((q[0] - h.at[0]) * f * CM, z * tall * CM, -(q[1] - h.at[1]) * f * CM)
  p.push(0, tall * CM, 0)
  const n = o.length
  for (let k = 0; k < 2; k++)
    for (let i = 0; i < n; i++) {
      const j = (i + 1) % n
      index.push(k * n + i, k * n + j, (k + 1) * n + i, k * n + j, (k + 1) * n + j, (k + 1) * n + i)
    }
  for (let i = 0; i < n; i++) index.push(2 * n + i, 2 * n + ((i + 1) % n), 3 * n)
  const g = new BufferGeometry()
  g.setAttribute('position', new Float32BufferAttribute(p, 3))
  g.setIndex(index)
  g.computeVertexNormals()
  return g
}

type Figure = 'rosette' | 'stem' | 'grass' | 'mat' | 'pad'
function figure(form: string): Figure {
  switch (form) {
    case 'stem': return 'stem'
    case 'carpet':
    case 'moss': return 'mat'
    case 'runner':
    case 'bulb': return 'grass'
    case 'floating': return 'pad'
  }
  return 'rosette'
}

const figures = new Map<string, BufferGeometry>()
// Plants of height and spread 1, standing on the origin: bent blades out of a few triangles each.
function figureGeometry(form: string): BufferGeometry {
  let g = figures.get(form)
  if (g) return g
  const p: number[] = []
  const blade = (turn: number, foot: number, out: number, high: number, wide: number, droop: number): void => {
    const c = Math.cos(turn)
    const s = Math.sin(turn)
    const at = (u: number): [number, number] => [foot + (out - foot) * u, high * (u - droop * u * u)]
    const w = [0.35, 1, 0.7, 0]
    for (let k = 0; k < 3; k++) {
      const [r0, y0] = at(k / 3)
      const [r1, y1] = at((k + 1) / 3)
      const a = (wide / 2) * w[k]!
      const b = (wide / 2) * w[k + 1]!
      const v = (r: number, y: number, d: number): [number, number, number] => [r * c - d * s, y, r * s + d * c]
      const q = [v(r0, y0, -a), v(r0, y0, a), v(r1, y1, -b), v(r1, y1, b)]
      for (const n of [0, 1, 2, 1, 3, 2]) p.push(...q[n]!)
    }
  }
  switch (form) {
    case 'rosette':
      for (let i = 0; i < 11; i++) blade(i * 2.4, 0.02, 0.28 + 0.2 * ((i * 7) % 3) / 2, 1.25, 0.2, 0.25 + 0.12 * (i % 3))
      break
    case 'grass':
      for (let i = 0; i < 9; i++) blade(i * 2.4, 0.05, 0.2 + 0.08 * (i % 4), 1.1, 0.07, 0.1 + 0.08 * (i % 3))
      break
    case 'stem':
      for (let k = 0; k < 7; k++) for (let i = 0; i < 4; i++) {
        const n = p.length
        blade(i * 1.57 + k * 0.8, 0, 0.42 - k * 0.02, 0.12, 0.14, 0.2)
        for (let m = n + 1; m < p.length; m += 3) p[m] = p[m]! + (k + 0.6) / 8
      }
      for (let i = 0; i < 2; i++) blade(i * 1.57, -0.02, 0.02, 0.97, 0.05, 0)
      break
    case 'mat':
      for (let i = 0; i < 16; i++) blade(i * 2.4, 0.03 * i, 0.03 * i + 0.16, 0.9, 0.16, 0.3)
      break
    default:
      for (let i = 0; i < 7; i++) blade(i * 0.9, 0.05, 0.5, 0.3, 0.3, 0.8)
  }
  g = new BufferGeometry()
  g.setAttribute('position', new Float32BufferAttribute(p, 3))
  g.computeVertexNormals()
  figures.set(form, g)
  return g
}
