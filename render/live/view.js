// The pattern in its container, to be turned: drawn from the model that the plan gives
// (GLB), in its meters with Y up.
import * as T from './three.module.js';
import { OrbitControls } from './orbit.js';

// The rubber's color, and that of what is cut through.
const rubberInk = 0xc9894f, cutInk = 0x8b6f5a;
const handBreadth = 0.09; // m, of a grown person over the knuckles, from memory

// parse reads the nodes of a model that moldtally wrote: what each is called, its
// numbers, its extras.
function parse(buffer) {
  const head = new DataView(buffer), length = head.getUint32(12, true);
  const doc = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
  const start = 28 + length;
  const kinds = { 5121: Uint8Array, 5123: Uint16Array, 5125: Uint32Array, 5126: Float32Array };
  const sizes = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4 };
  const made = new Map();
  const read = (n) => {
    if (!made.has(n)) {
      const a = doc.accessors[n], v = doc.bufferViews[a.bufferView], size = sizes[a.type], Kind = kinds[a.componentType];
      const at = start + (v.byteOffset || 0) + (a.byteOffset || 0), bytes = Kind.BYTES_PER_ELEMENT;
      let data;
      if (v.byteStride && v.byteStride !== size * bytes) {
        data = new Kind(a.count * size);
        for (let i = 0; i < a.count; i++) data.set(new Kind(buffer.slice(at + i * v.byteStride, at + i * v.byteStride + size * bytes)), i * size);
      } else data = at % bytes ? new Kind(buffer.slice(at, at + a.count * size * bytes)) : new Kind(buffer, at, a.count * size);
      made.set(n, new T.BufferAttribute(data, size, !!a.normalized));
    }
    return made.get(n);
  };
  const nodes = {};
  for (const node of doc.nodes) {
    const parts = node.mesh === undefined ? [] : doc.meshes[node.mesh].primitives.map((p) => {
      const g = new T.BufferGeometry();
      g.setAttribute('position', read(p.attributes.POSITION));
      if (p.attributes.COLOR_0 !== undefined) g.setAttribute('color', read(p.attributes.COLOR_0));
      if (p.attributes._PATH_MM !== undefined) g.userData.path = read(p.attributes._PATH_MM).array;
      if (p.indices !== undefined) g.setIndex(read(p.indices));
      return g;
    });
    nodes[node.name] = { parts, extras: node.extras || {} };
  }
  return nodes;
}

// prism is the body between a ring of points and the board under it.
function prism(ring) {
  const n = ring.count, at = new Float32Array(6 * n), faces = [];
  for (let i = 0; i < n; i++) {
    at.set([ring.getX(i), 0, ring.getZ(i)], 3 * i);
    at.set([ring.getX(i), ring.getY(i), ring.getZ(i)], 3 * (n + i));
    const j = (i + 1) % n;
    faces.push(i, j, n + j, i, n + j, n + i);
    if (i > 0 && j > 0) faces.push(0, j, i, n, n + i, n + j);
  }
  const g = new T.BufferGeometry();
  g.setAttribute('position', new T.BufferAttribute(at, 3));
  g.setIndex(faces);
  return g;
}

export class View {
  constructor(stage, on) {
    this.stage = stage;
    this.on = on;
    this.marks = stage.querySelector('#marks');
    this.renderer = new T.WebGLRenderer({ antialias: true, alpha: true, stencil: true });
    this.renderer.localClippingEnabled = true;
    stage.prepend(this.renderer.domElement);
    this.scene = new T.Scene();
    this.camera = new T.PerspectiveCamera(32, 1, 0.001, 100);
    this.scene.add(new T.HemisphereLight(0xffffff, 0x8a8070, 1.6));
    const lamp = new T.DirectionalLight(0xffffff, 1.7);
    lamp.position.set(-0.6, 0.9, 0.7);
    this.camera.add(lamp);
    this.scene.add(this.camera);
    this.orbit = new OrbitControls(this.camera, this.renderer.domElement);
    this.orbit.addEventListener('change', () => this.draw());
    this.mold = new T.Group();
    this.scene.add(this.mold);
    // Two planes: where it is cut through, and where halves part.
    this.section = new T.Plane(new T.Vector3(0, 0, -1), 1e3);
    this.halves = [];
    this.places = [];
    new ResizeObserver(() => this.size()).observe(stage);
    stage.addEventListener('keydown', (e) => this.keys(e));
    const canvas = this.renderer.domElement;
    let down = null;
    canvas.addEventListener('pointerdown', (e) => { down = [e.clientX, e.clientY]; });
    canvas.addEventListener('pointerup', (e) => {
      if (down && Math.hypot(e.clientX - down[0], e.clientY - down[1]) < 5 && this.resting) this.face(e);
    });
    this.size();
  }

  size() {
    const w = this.stage.clientWidth, h = this.stage.clientHeight;
    if (!w || !h) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(w, h);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  // show draws a model; what is told of it comes with it.
  show(buffer, told) {
    const nodes = parse(buffer);
    for (const g of this.owned || []) g.dispose();
    this.owned = [];
    this.mold.clear();
    this.told = told;
    this.toFile = new T.Matrix4().fromArray(nodes.mold.extras.to_pattern_mm);
    this.toScene = this.toFile.clone().invert();
    this.pattern = [];
    this.path = null;
    this.box = new T.Box3();
    for (const name of ['pattern', 'patches']) {
      for (const g of nodes[name]?.parts || []) this.addPattern(g, name === 'patches');
    }
    this.body = this.box.clone();
    this.addContainer(nodes);
    this.addLine(nodes['parting line'], 0x1f2a30);
    this.addLine(nodes.seam, 0xa8261b);
    this.part(nodes);
    this.mark(told.places);
    this.center = this.box.getCenter(new T.Vector3());
    this.radius = this.box.getBoundingSphere(new T.Sphere()).radius;
    // Another pattern, another way up or front is looked at anew; another wall is not.
    const from = JSON.stringify([told.file, told.view?.Back, told.view?.Up]);
    if (this.from !== from || Math.abs(this.radius / this.seen - 1) > 0.5) this.home();
    this.from = from;
    this.draw();
  }

  own(x) { this.owned.push(x); return x; }

  addPattern(g, patch) {
    this.own(g);
    g.computeBoundingBox();
    this.box.union(g.boundingBox);
    const color = !!g.attributes.color;
    const skin = this.own(new T.MeshStandardMaterial({ vertexColors: color, color: patch ? 0xb79bc0 : color ? 0xffffff : 0xd8cfc0, roughness: 0.9, flatShading: true, side: T.FrontSide, clippingPlanes: [this.section] }));
    const inside = this.own(new T.MeshBasicMaterial({ color: cutInk, side: T.BackSide, clippingPlanes: [this.section] }));
    const face = new T.Mesh(g, skin);
    this.pattern.push(face);
    this.mold.add(face, new T.Mesh(g, inside));
    if (g.userData.path && !this.path) { this.path = g.userData.path; this.colors = g.attributes.color; }
  }

  addContainer(nodes) {
    const c = nodes.container;
    this.glass = [];
    this.rubber = [];
    this.kind = c?.extras.mold || '';
    if (!c) return;
    this.coated = !nodes['fill line'];
    const bodies = this.coated ? c.parts : [prism(nodes['fill line'].parts[0].attributes.position)];
    const glass = this.own(new T.MeshStandardMaterial({ color: 0x7fa6b8, transparent: true, opacity: 0.16, roughness: 0.1, side: T.DoubleSide, depthWrite: false, clippingPlanes: [this.section] }));
    for (const g of c.parts) {
      this.own(g);
      g.computeBoundingBox();
      this.box.union(g.boundingBox);
      const m = new T.Mesh(g, glass);
      m.renderOrder = 5;
      this.glass.push(m);
      this.mold.add(m);
      if (!this.coated) {
        const edges = new T.LineSegments(this.own(new T.EdgesGeometry(g, 20)), this.own(new T.LineBasicMaterial({ color: 0x4d7486, transparent: true, opacity: 0.6 })));
        this.glass.push(edges);
        this.mold.add(edges);
      }
    }
    this.bodies = bodies.map((g) => this.own(g));
    this.addCap(bodies);
    if (!this.coated) {
      const line = new T.LineLoop(nodes['fill line'].parts[0], this.own(new T.LineBasicMaterial({ color: rubberInk })));
      this.glass.push(line);
      this.mold.add(line);
    }
  }

  // addCap fills what is cut of the rubber: faces of its outside counted up and of the
  // pattern counted down leave a count where there is rubber.
  addCap(bodies) {
    const count = (g, side, op) => {
      const m = this.own(new T.MeshBasicMaterial({ side, colorWrite: false, depthWrite: false, depthTest: false, stencilWrite: true, stencilFunc: T.AlwaysStencilFunc, stencilFail: op, stencilZFail: op, stencilZPass: op, clippingPlanes: [this.section] }));
      const mesh = new T.Mesh(g, m);
      mesh.renderOrder = 1;
      return mesh;
    };
    this.cap = new T.Group();
    for (const g of bodies) this.cap.add(count(g, T.BackSide, T.IncrementWrapStencilOp), count(g, T.FrontSide, T.DecrementWrapStencilOp));
    for (const p of this.pattern) this.cap.add(count(p.geometry, T.BackSide, T.DecrementWrapStencilOp), count(p.geometry, T.FrontSide, T.IncrementWrapStencilOp));
    const fill = this.own(new T.MeshBasicMaterial({ color: rubberInk, side: T.DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: T.NotEqualStencilFunc, stencilFail: T.ReplaceStencilOp, stencilZFail: T.ReplaceStencilOp, stencilZPass: T.ReplaceStencilOp }));
    this.capFace = new T.Mesh(this.own(new T.PlaneGeometry(1, 1)), fill);
    this.capFace.renderOrder = 2;
    this.cap.add(this.capFace);
    this.cap.visible = false;
    this.mold.add(this.cap);
  }

  addLine(node, color) {
    for (const g of node?.parts || []) {
      const l = new T.LineSegments(this.own(g), this.own(new T.LineBasicMaterial({ color, clippingPlanes: [this.section] })));
      l.renderOrder = 6;
      this.mold.add(l);
    }
  }

  // part says how the rubber is taken off: upward, in halves, or opened at its seam.
  part(nodes) {
    this.halves = [];
    if (!this.bodies) return;
    const up = new T.Vector3(0, 1, 0), high = this.box.max.y - this.box.min.y;
    const add = (normal, constant, way, from) => {
      const plane = normal ? new T.Plane(normal.clone(), constant) : null;
      const group = new T.Group();
      const clip = [this.section].concat(plane ? [plane] : []);
      const outside = this.own(new T.MeshStandardMaterial({ color: rubberInk, roughness: 0.7, transparent: true, opacity: 0.55, side: T.FrontSide, depthWrite: false, clippingPlanes: clip }));
      const cavity = this.own(new T.MeshStandardMaterial({ color: rubberInk, roughness: 0.8, flatShading: true, side: T.BackSide, clippingPlanes: clip }));
      for (const g of this.bodies) { const m = new T.Mesh(g, outside); m.renderOrder = 4; group.add(m); }
      for (const p of this.pattern) group.add(new T.Mesh(p.geometry, cavity));
      group.visible = false;
      this.mold.add(group);
      this.halves.push({ group, plane, constant, way, from });
    };
    if (this.kind === 'two-part' && nodes['parting line']) {
      const y = this.body.min.y + nodes['parting line'].extras.height_mm / 1000;
      add(up, -y, up.clone().multiplyScalar(0.7 * high), 0);
      add(up.clone().negate(), y, up.clone().multiplyScalar(-0.7 * high), 0);
    } else if (this.kind === 'cut' && nodes.seam) {
      const x = nodes.seam.extras, n = new T.Vector3().fromArray(x.plane_normal), c = x.plane_offset_mm;
      const on = n.clone().multiplyScalar(c).applyMatrix4(this.toScene);
      n.transformDirection(this.toScene);
      const wide = this.box.getSize(new T.Vector3()).length() / 3;
      add(n, -n.dot(on), n.clone().multiplyScalar(wide), 0);
      add(n.clone().negate(), n.dot(on), n.clone().multiplyScalar(-wide), 0);
    } else add(null, 0, up.clone().multiplyScalar(1.15 * high), this.coated ? 0.4 : 0);
  }

  // apart pulls the mold off by a share of the whole way.
  apart(share) {
    this.share = share;
    for (const h of this.halves) {
      const k = Math.max(0, (share - h.from) / (1 - h.from));
      h.group.visible = share > 0;
      h.group.position.copy(h.way).multiplyScalar(k);
      if (h.plane) h.plane.constant = h.constant - h.plane.normal.dot(h.group.position);
    }
    // A container is struck first, and a mother mold lifted off.
    for (const g of this.glass || []) {
      g.visible = !share || this.coated;
      g.position.y = this.coated ? share * 1.3 * (this.box.max.y - this.box.min.y) : 0;
    }
    this.draw();
  }

  // cut takes away what lies before a plane; 1 = nothing.
  cut(share) {
    this.through = share;
    if (!this.center) return;
    const n = this.front().negate();
    this.section.normal.copy(n);
    const at = this.center.clone().addScaledVector(n, -(share * 2 - 1) * this.radius);
    this.section.constant = share >= 1 ? 1e3 : -n.dot(at);
    if (this.cap) {
      this.cap.visible = share < 1 && !this.share;
      this.capFace.position.copy(at);
      this.capFace.scale.setScalar(2.2 * this.radius);
      this.capFace.lookAt(at.clone().add(n));
    }
    this.draw();
  }

  film(told) {
    let start = 0;
    const step = (now) => {
      if (!start) start = now;
      const t = Math.min((now - start) / 3000, 1), share = t * t * (3 - 2 * t);
      this.apart(share);
      told(share);
      if (t < 1) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  // front is the level direction towards whom the words of the answer speak to.
  front() {
    const v = this.told?.view;
    const back = v ? new T.Vector3(...v.Back).transformDirection(this.toScene) : new T.Vector3(0, 0, -1);
    back.y = 0;
    return back.lengthSq() > 1e-6 ? back.normalize().negate() : new T.Vector3(0, 0, 1);
  }

  home() {
    if (!this.center) return;
    const size = this.box.getSize(new T.Vector3());
    const high = (size.y < 0.4 * Math.max(size.x, size.z) ? 36 : 24) * Math.PI / 180;
    const toward = this.front().multiplyScalar(Math.cos(high)).add(new T.Vector3(0, Math.sin(high), 0));
    const narrow = Math.min(1, this.camera.aspect);
    const far = 1.08 * this.radius / Math.sin(this.camera.fov * Math.PI / 360) / narrow;
    this.camera.near = this.radius / 100;
    this.camera.far = this.radius * 60;
    this.camera.updateProjectionMatrix();
    this.camera.position.copy(this.center).addScaledVector(toward, far);
    this.orbit.target.copy(this.center);
    this.orbit.update();
    this.seen = this.radius;
    this.draw();
  }

  // mark puts the numbers of the findings at their places.
  mark(places) {
    this.places = places.map((p) => {
      const b = document.createElement('button');
      b.type = 'button';
      b.className = 'mark ' + p.severity;
      b.textContent = p.number;
      b.setAttribute('aria-label', p.number + ': ' + p.summary);
      b.onclick = () => this.on.place(p.number);
      return { button: b, number: p.number, at: new T.Vector3(...p.at_mm).applyMatrix4(this.toScene) };
    });
    this.marks.replaceChildren(...this.places.map((p) => p.button));
  }

  // point turns the view to a place.
  point(number) {
    for (const p of this.places) {
      p.button.classList.toggle('told', p.number === number);
      if (p.number !== number) continue;
      const away = p.at.clone().sub(this.center);
      const toward = this.camera.position.clone().sub(this.orbit.target);
      const flat = new T.Vector3(away.x, 0, away.z);
      if (flat.length() > 0.05 * this.radius) {
        const turn = Math.atan2(flat.x, flat.z) - Math.atan2(toward.x, toward.z);
        toward.applyAxisAngle(new T.Vector3(0, 1, 0), turn);
        this.camera.position.copy(this.orbit.target).add(toward);
        this.orbit.update();
      }
    }
    this.draw();
  }

  // face rests the face under the pointer on the board: as it looks on average round
  // the pointer, for a scan is rough.
  face(e) {
    const r = this.renderer.domElement.getBoundingClientRect();
    const ray = new T.Raycaster(), n = new T.Vector3();
    for (const [dx, dy] of [[0, 0], [7, 0], [-7, 0], [0, 7], [0, -7]]) {
      ray.setFromCamera(new T.Vector2(((e.clientX + dx - r.left) / r.width) * 2 - 1, 1 - ((e.clientY + dy - r.top) / r.height) * 2), this.camera);
      const hit = ray.intersectObjects(this.pattern, false)[0];
      if (hit) n.add(hit.face.normal);
      else if (!dx && !dy) return;
    }
    const c = n.transformDirection(this.toFile).negate().toArray().map((x) => Number(x.toFixed(4)) + 0);
    const k = c.findIndex((x) => Math.abs(x) > 0.9995);
    this.on.face(k >= 0 ? (c[k] < 0 ? '-' : '+') + 'xyz'[k] : c.join(','));
  }

  keys(e) {
    const turn = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
    const near = { '+': 0.85, '=': 0.85, '-': 1 / 0.85 }[e.key];
    if (!this.center || e.target !== this.stage || (!turn && !near && e.key !== 'Home')) return;
    e.preventDefault();
    const off = this.camera.position.clone().sub(this.orbit.target);
    if (e.key === 'Home') { this.home(); return; }
    if (near) off.multiplyScalar(near);
    if (turn && e.shiftKey) {
      const right = new T.Vector3().setFromMatrixColumn(this.camera.matrix, 0), up = new T.Vector3(0, 1, 0);
      this.orbit.target.addScaledVector(right, turn[0] * 0.1 * this.radius).addScaledVector(up, -turn[1] * 0.1 * this.radius);
    } else if (turn) {
      const s = new T.Spherical().setFromVector3(off);
      s.theta -= turn[0] * 0.15;
      s.phi = Math.min(Math.max(s.phi - turn[1] * 0.12, 0.05), Math.PI - 0.05);
      off.setFromSpherical(s);
    }
    this.camera.position.copy(this.orbit.target).add(off);
    this.orbit.update();
    this.draw();
  }

  // key is what the colors of the pattern say.
  key() {
    if (!this.path || !this.colors) return [];
    const most = this.path.reduce((a, p) => Math.max(a, p), 0);
    const at = most > 0 ? [0, most / 2, most] : [0], best = at.map(() => [Infinity, -1]);
    let locked = -1;
    this.path.forEach((p, i) => {
      if (p < 0) { locked = i; return; }
      at.forEach((want, k) => { const d = Math.abs(p - want); if (d < best[k][0]) best[k] = [d, i]; });
    });
    const ink = (i) => '#' + new T.Color(this.colors.getX(i), this.colors.getY(i), this.colors.getZ(i)).getHexString(T.SRGBColorSpace);
    const words = (mm) => (mm ? 'the rubber bends by ' + (this.told.us ? (mm / 25.4).toFixed(2) + ' in' : mm.toFixed(most < 10 ? 1 : 0) + ' mm') : 'comes out freely');
    const out = [];
    best.forEach(([, i]) => { if (i >= 0 && (!this.path[i] || this.path[i] > 0.02 * most)) out.push([ink(i), words(this.path[i])]); });
    if (locked >= 0) out.push([ink(locked), 'locked']);
    return out;
  }

  draw() {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => {
      this.due = false;
      this.renderer.render(this.scene, this.camera);
      this.place();
    });
  }

  place() {
    const w = this.stage.clientWidth, h = this.stage.clientHeight;
    for (const p of this.places) {
      const v = p.at.clone().project(this.camera);
      p.button.hidden = v.z > 1;
      p.button.style.transform = `translate(${((v.x + 1) / 2) * w}px, ${((1 - v.y) / 2) * h}px)`;
    }
    this.hand(w);
  }

  // hand draws the breadth of a hand as large as it would be beside the pattern.
  hand(w) {
    const bar = this.stage.querySelector('#scale-bar');
    if (!this.center) return;
    const far = this.camera.position.distanceTo(this.orbit.target);
    const across = 2 * far * Math.tan(this.camera.fov * Math.PI / 360) * this.camera.aspect;
    const px = (handBreadth / across) * w, words = bar.lastElementChild;
    bar.firstElementChild.style.width = Math.min(Math.max(px, 2), 0.6 * w) + 'px';
    words.textContent = px > 0.6 * w ? `a hand is ${(px / w).toFixed(px > 3 * w ? 0 : 1)} times as broad as this picture` : px < 4 ? 'a hand is no larger than this' : 'a hand’s breadth, ' + (this.told.us ? '3 1/2 in' : '90 mm');
  }
}
