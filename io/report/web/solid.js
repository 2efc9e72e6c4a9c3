// The finished edge as a solid that can be turned, cut across at a station, in raking light.

let threeLoading = null;
function loadThree() {
  if (!threeLoading) {
    const text = document.getElementById("three-module").textContent;
    const url = URL.createObjectURL(new Blob([text], { type: "text/javascript" }));
    threeLoading = import(url).finally(() => URL.revokeObjectURL(url));
  }
  return threeLoading;
}

const kArcSteps = 24;

// A section's outline from the wall's lower end up and inwards, each piece with points and normals of its own, so that
// joints stay sharp.
function outlineRuns(pieces, thickness) {
  const runs = [];
  const z0 = pieces.length ? pieces[0][2] : 0;
  runs.push(piecePoints([0, 0, -thickness, 0, z0], 1));
  for (const p of pieces) runs.push(piecePoints(p, kArcSteps));
  return runs;
}

function signature(runs) { return runs.map((r) => r.length).join(","); }

function mixRuns(a, b, t) {
  return a.map((run, i) => run.map((p, k) => {
    const q = b[i][k];
    return { x: p.x + (q.x - p.x) * t, y: p.y + (q.y - p.y) * t, nx: p.nx + (q.nx - p.nx) * t, ny: p.ny + (q.ny - p.ny) * t };
  }));
}

// Triangles of the edge from the cut at s0 on, `reach` mm away from the one who looks: the part lies on the right. Places
// are relative to the contour's point at s0.
function edgeMesh(walk, stations, settings, s0, reach) {
  const line = contourOf(walk), T = settings.thickness, way = walk.left ? -1 : 1;
  const sAt = (q) => { const s = s0 + way * q; return walk.closed ? ((s % line.total) + line.total) % line.total : s; };
  const frameAt = (q) => { const f = line.at(sAt(q)); return { ...f, tx: way * f.tx, ty: way * f.ty }; };
  const runsAt = (q) => outlineRuns(walk.sections[stations[nearestStation(stations, sAt(q))].section], T);
  const origin = frameAt(0);
  const positions = [], normals = [], inward = [], across = [], faces = [];
  const vertex = (frame, p, cap) => {
    positions.push(frame.x + frame.nx * p.x - origin.x, frame.y + frame.ny * p.x - origin.y, p.y);
    if (cap) normals.push(cap * frame.tx, cap * frame.ty, 0);
    else normals.push(frame.nx * p.nx, frame.ny * p.nx, p.ny);
    inward.push(frame.nx, frame.ny);
    across.push(p.x, cap ? 1 : 0);
    return positions.length / 3 - 1;
  };
  const to = walk.closed ? Math.min(reach, line.total * 0.95) : Math.min(reach, way > 0 ? line.total - s0 : s0);
  const places = [0, to];
  for (const turn of walk.closed ? [-line.total, 0, line.total] : [0])
    for (const s of stations) {
      const q = way * (s.s + turn - s0);
      if (q > 1e-6 && q < to - 1e-6) places.push(q);
    }
  places.sort((a, b) => a - b);

  const strip = (frameA, runsA, frameB, runsB) => {
    for (let i = 0; i < runsA.length; i++) {
      const a = runsA[i].map((p) => vertex(frameA, p)), b = runsB[i].map((p) => vertex(frameB, p));
      for (let k = 0; k + 1 < a.length; k++) faces.push(a[k], b[k], a[k + 1], a[k + 1], b[k], b[k + 1]);
    }
  };
  let before = { q: 0, runs: runsAt(0), frame: origin };
  for (const q of places.slice(1)) {
    const runs = runsAt(q), frame = frameAt(q);
    // Where the section changes its kind between two stations, the first one's is kept up to the second.
    const target = signature(before.runs) === signature(runs) ? runs : before.runs;
    const steps = Math.max(1, Math.ceil((q - before.q) * Math.max(before.frame.curvature, frame.curvature) / 0.04));
    let lastFrame = before.frame, lastRuns = before.runs;
    for (let k = 1; k <= steps; k++) {
      const f = frameAt(before.q + (q - before.q) * k / steps), r = mixRuns(before.runs, target, k / steps);
      strip(lastFrame, lastRuns, f, r);
      lastFrame = f; lastRuns = r;
    }
    before = { q, runs, frame };
  }
  const cap = (q, sign) => {
    const frame = frameAt(q), points = runsAt(q).slice(1).flat();
    for (let k = 0; k + 1 < points.length; k++) {
      if (points[k + 1].x - points[k].x < 1e-7) continue;
      const c = [points[k], points[k + 1], { x: points[k].x, y: -T }, { x: points[k + 1].x, y: -T }].map((p) => vertex(frame, p, sign));
      faces.push(c[0], c[2], c[1], c[1], c[2], c[3]);
    }
  };
  cap(0, -1);
  cap(to, 1);
  return { positions, normals, inward, across, faces, frame: origin };
}

const kVertexShader = `
attribute vec2 inward; attribute vec2 across;
varying vec3 vN, vP; varying vec2 vIn, vAcross;
void main() { vN = normal; vP = position; vIn = inward; vAcross = across;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`;

// Light that grazes the face, shaded by the section itself: the ray to the light is followed across the outline.
const kFragmentShader = `
precision highp float;
varying vec3 vN, vP; varying vec2 vIn, vAcross;
uniform vec3 light; uniform vec3 colors[8]; uniform float bottoms[8]; uniform sampler2D outline; uniform float span, thickness, grain;
float hash(vec2 p) { return fract(sin(dot(p, vec2(12.9898, 78.233))) * 43758.5453); }
float noise(vec2 p) { vec2 i = floor(p), f = fract(p); f = f * f * (3.0 - 2.0 * f);
  return mix(mix(hash(i), hash(i + vec2(1, 0)), f.x), mix(hash(i + vec2(0, 1)), hash(i + vec2(1, 1)), f.x), f.y); }
float height(float i) { return texture2D(outline, vec2((clamp(i, 0.0, 2047.0) + 0.5) / 2048.0, 0.5)).r; }
float top(float u) { float i = u / span * 2048.0 - 0.5; return u < 0.0 ? -1e3 : mix(height(floor(i)), height(floor(i) + 1.0), fract(i)); }
void main() {
  vec3 n = normalize(vN);
  vec3 base = colors[0];
  float soft = 0.75 * fwidth(vP.z) + 1e-5;
  for (int i = 0; i < 7; i++) base = mix(base, colors[i + 1], 1.0 - smoothstep(-soft, soft, vP.z - bottoms[i]));
  float tone = grain * (noise(vec2(vP.x * 0.35, vP.y * 4.0) + vP.z * 1.7) - 0.5) + 0.25 * grain * (noise(vP.xy * vec2(3.0, 30.0)) - 0.5);
  base *= 1.0 + 0.22 * tone;
  float sun = max(dot(n, light), 0.0);
  float across = dot(light.xy, normalize(vIn));
  if (vAcross.y < 0.5 && abs(across) > 0.02) {
    float slope = light.z / abs(across), dir = sign(across), shade = 0.0;
    for (int i = 1; i <= 96; i++) {
      float t = span * (0.002 + pow(float(i) / 96.0, 2.0));
      float over = top(vAcross.x + dir * t) - (vP.z + slope * t) - 0.008 - 0.02 * t;
      shade = max(shade, smoothstep(0.0, 0.006 + 0.02 * t, over));
    }
    sun *= 1.0 - 0.92 * shade;
  }
  float sky = mix(0.26, 0.5, n.z * 0.5 + 0.5);
  vec3 c = base * (sky * 0.8 + 0.95 * sun * vec3(1.0, 0.98, 0.94));
  if (vAcross.y > 0.5) c = base * (0.5 + 0.2 * sun);
  c = c / (1.0 + 0.45 * c * c);
  gl_FragColor = vec4(pow(c, vec3(1.0 / 2.2)), 1.0);
}`;

// Makes the view in `stage`; show(walk, stations, settings, s) puts the cut there.
async function solidView(stage, canvas, scaleBar) {
  const THREE = await loadThree();
  const renderer = new THREE.WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
  renderer.outputColorSpace = THREE.LinearSRGBColorSpace;
  renderer.setPixelRatio(Math.min(2, window.devicePixelRatio || 1));
  const scene = new THREE.Scene();
  scene.background = new THREE.Color(0.80, 0.815, 0.83);
  const camera = new THREE.PerspectiveCamera(26, 1.6, 0.1, 4000);
  camera.up.set(0, 0, 1);
  const empty = new THREE.DataTexture(new Float32Array([0]), 1, 1, THREE.RedFormat, THREE.FloatType);
  const uniforms = { light: { value: new THREE.Vector3(0, 0, 1) }, colors: { value: [] }, bottoms: { value: [] }, outline: { value: empty },
    span: { value: 1 }, thickness: { value: 1 }, grain: { value: 0 } };
  const material = new THREE.ShaderMaterial({ uniforms, vertexShader: kVertexShader, fragmentShader: kFragmentShader, side: THREE.DoubleSide });
  const mesh = new THREE.Mesh(new THREE.BufferGeometry(), material);
  mesh.frustumCulled = false;
  scene.add(mesh);
  const look = { azimuth: 0.62, elevation: 0.5, zoom: 1, lightAzimuth: 80, lightHeight: 14 };
  const now = { size: 8, frame: { tx: 1, ty: 0, nx: 0, ny: 1 }, target: new THREE.Vector3() };
  let asked = false;

  function draw() {
    asked = false;
    const width = canvas.clientWidth, height = canvas.clientHeight;
    if (!width || !height || !uniforms.colors.value.length) return;
    const size = renderer.getSize(new THREE.Vector2());
    if (size.x !== width || size.y !== height) renderer.setSize(width, height, false);
    camera.aspect = width / height;
    camera.updateProjectionMatrix();
    const f = now.frame, ce = Math.cos(look.elevation);
    // Azimuth 0 looks straight along the edge at the cut face; it grows toward the outside.
    const along = -Math.cos(look.azimuth) * ce, out = Math.sin(look.azimuth) * ce;
    const distance = now.size / look.zoom / (2 * Math.tan(13 * Math.PI / 180));
    camera.position.set(now.target.x + distance * (f.tx * along - f.nx * out), now.target.y + distance * (f.ty * along - f.ny * out),
      now.target.z + distance * Math.sin(look.elevation));
    camera.near = distance / 50; camera.far = distance * 60;
    camera.lookAt(now.target);
    camera.updateProjectionMatrix();
    // The light's direction is told from the edge: 0 along it, 90 straight at the wall from outside.
    const la = look.lightAzimuth * Math.PI / 180, lh = look.lightHeight * Math.PI / 180;
    const lx = -Math.cos(la) * Math.cos(lh), ly = Math.sin(la) * Math.cos(lh);
    uniforms.light.value.set(f.tx * lx - f.nx * ly, f.ty * lx - f.ny * ly, Math.sin(lh));
    renderer.render(scene, camera);
    const perPixel = 2 * distance * Math.tan(13 * Math.PI / 180) / height;
    const bar = roundLength(perPixel * 140);
    scaleBar.replaceChildren(bar.text, make("i", { style: `width:${bar.mm / perPixel}px` }));
  }
  function ask() { if (!asked) { asked = true; requestAnimationFrame(draw); } }

  canvas.addEventListener("pointerdown", (e) => canvas.setPointerCapture(e.pointerId));
  const fingers = new Map();
  canvas.addEventListener("pointermove", (e) => {
    if (!e.buttons) return;
    const last = fingers.get(e.pointerId);
    if (fingers.size === 2 && last) {
      const other = [...fingers].find(([id]) => id !== e.pointerId)[1];
      const was = Math.hypot(last.x - other.x, last.y - other.y), is = Math.hypot(e.clientX - other.x, e.clientY - other.y);
      if (was > 0) api.zoom(is / was);
    } else if (last) api.turn((e.clientX - last.x) * -0.008, (e.clientY - last.y) * 0.008);
    fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
  });
  for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, (e) => fingers.delete(e.pointerId));
  canvas.addEventListener("wheel", (e) => {
    if (document.activeElement !== canvas && !e.ctrlKey) return;
    e.preventDefault();
    api.zoom(Math.exp(-e.deltaY * 0.0015));
  }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: [0.1, 0], ArrowRight: [-0.1, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1] }[e.key];
    if (step) api.turn(...step);
    else if (e.key === "+" || e.key === "=") api.zoom(1.2);
    else if (e.key === "-") api.zoom(1 / 1.2);
    else if (e.key === "Home") api.home();
    else return;
    e.preventDefault();
  });
  new ResizeObserver(ask).observe(canvas);

  const api = {
    turn(a, b) {
      look.azimuth += a;
      look.elevation = Math.max(-0.3, Math.min(1.5, look.elevation + b));
      ask();
    },
    zoom(k) { look.zoom = Math.max(0.3, Math.min(60, look.zoom * k)); ask(); },
    home() { Object.assign(look, { azimuth: 0.62, elevation: 0.5, zoom: 1 }); ask(); },
    light(azimuth, height) { look.lightAzimuth = azimuth; look.lightHeight = height; ask(); },
    refresh: ask,
    show(walk, stations, settings, s) {
      const station = stations[nearestStation(stations, s)];
      const pieces = walk.sections[station.section];
      const last = pieces[pieces.length - 1], span = last ? (last[0] === 2 ? last[last.length - 2] : last[3]) : 1;
      const m = edgeMesh(walk, stations, settings, s, Math.max(18, 5 * span));
      const g = new THREE.BufferGeometry();
      g.setAttribute("position", new THREE.Float32BufferAttribute(m.positions, 3));
      g.setAttribute("normal", new THREE.Float32BufferAttribute(m.normals, 3));
      g.setAttribute("inward", new THREE.Float32BufferAttribute(m.inward, 2));
      g.setAttribute("across", new THREE.Float32BufferAttribute(m.across, 2));
      g.setIndex(m.faces);
      mesh.geometry.dispose();
      mesh.geometry = g;
      const samples = 2048, heights = new Float32Array(samples);
      for (let i = 0; i < samples; i++) heights[i] = heightAt(pieces, span * (i + 0.5) / samples);
      if (uniforms.outline.value !== empty) uniforms.outline.value.dispose();
      const texture = new THREE.DataTexture(heights, samples, 1, THREE.RedFormat, THREE.FloatType);
      texture.needsUpdate = true;
      uniforms.outline.value = texture;
      uniforms.span.value = span;
      const layers = layerTops(settings).slice(0, 8);
      uniforms.colors.value = Array.from({ length: 8 }, (_, i) => new THREE.Color((layers[i] || layers[layers.length - 1]).color));
      uniforms.bottoms.value = Array.from({ length: 8 }, (_, i) => (layers[i] ? layers[i].bottom : -1e6));
      uniforms.thickness.value = settings.thickness;
      uniforms.grain.value = /oak|ash|beech|birch|maple|walnut|cherry|pine|spruce|wood|ply|veneer/i.test(settings.layers.map((l) => l.name).join(" ")) ? 1 : 0.12;
      const depth = Math.max(station.foot_depth || 0, walk.wanted.depth), f = m.frame;
      now.frame = f;
      now.size = 1.75 * Math.max(depth, span);
      now.target.set(f.nx * span * 0.42 + f.tx * span * .25, f.ny * span * 0.42 + f.ty * span * .25, -depth * 0.5);
      ask();
    },
  };
  return api;
}
