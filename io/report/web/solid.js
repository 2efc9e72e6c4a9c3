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

const kVertexShader = `
attribute vec2 inward; attribute vec2 across;
varying vec3 vN, vP; varying vec2 vIn, vAcross;
void main() { vN = normal; vP = position; vIn = inward; vAcross = across;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`;

// Light that grazes the surface, shaded by the section itself: the ray to the light is followed through it. `body` holds
// the heights between which there is material at u, up to two pairs.
const kFragmentShader = `
precision highp float;
varying vec3 vN, vP; varying vec2 vIn, vAcross;
uniform vec3 light; uniform vec3 colors[8]; uniform float bottoms[8]; uniform sampler2D body; uniform float low, span, grain;
float hash(vec2 p) { return fract(sin(dot(p, vec2(12.9898, 78.233))) * 43758.5453); }
float noise(vec2 p) { vec2 i = floor(p), f = fract(p); f = f * f * (3.0 - 2.0 * f);
  return mix(mix(hash(i), hash(i + vec2(1, 0)), f.x), mix(hash(i + vec2(0, 1)), hash(i + vec2(1, 1)), f.x), f.y); }
vec4 sampled(float i) { return texture2D(body, vec2((clamp(i, 0.0, 2047.0) + 0.5) / 2048.0, 0.5)); }
// How deep (u, z) lies within the material; negative outside.
float inside(float u, float z) {
  if (u < low) return -1.0;
  float i = (u - low) / span * 2048.0 - 0.5;
  vec4 b = mix(sampled(floor(i)), sampled(floor(i) + 1.0), fract(i));
  return max(min(b.y - z, z - b.x), min(b.w - z, z - b.z));
}
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
      float over = inside(vAcross.x + dir * t, vP.z + slope * t) - 0.008 - 0.02 * t;
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
  const empty = new THREE.DataTexture(new Float32Array(4), 1, 1, THREE.RGBAFormat, THREE.FloatType);
  const uniforms = { light: { value: new THREE.Vector3(0, 0, 1) }, colors: { value: [] }, bottoms: { value: [] }, body: { value: empty },
    low: { value: 0 }, span: { value: 1 }, grain: { value: 0 } };
  const material = new THREE.ShaderMaterial({ uniforms, vertexShader: kVertexShader, fragmentShader: kFragmentShader, side: THREE.DoubleSide });
  const mesh = new THREE.Mesh(new THREE.BufferGeometry(), material);
  mesh.frustumCulled = false;
  scene.add(mesh);
  const look = { azimuth: 0.62, elevation: 0.5, zoom: 1, near: null, lightAzimuth: 80, lightHeight: 14 };
  const now = { size: 8, lowest: -0.3, frame: { tx: 1, ty: 0, nx: 0, ny: 1 }, middle: [0, 0, 0], face: [0, 0, 0], foot: [0, 0, 0] };
  const target = new THREE.Vector3();
  let asked = false;

  function draw() {
    asked = false;
    const width = canvas.clientWidth, height = canvas.clientHeight;
    if (!width || !height || !uniforms.colors.value.length) return;
    const drawn = renderer.getSize(new THREE.Vector2());
    if (drawn.x !== width || drawn.y !== height) renderer.setSize(width, height, false);
    camera.aspect = width / height;
    camera.updateProjectionMatrix();
    const f = now.frame, ce = Math.cos(look.elevation);
    // From the whole edge toward the place looked at: mm along, inwards and up.
    const size = look.near ? now[look.near][3] : now.size, share = look.near ? 1 : 1 - 1 / Math.max(1, look.zoom);
    const [a, u, z] = now.middle.map((v, i) => v + share * (now[look.near || "face"][i] - v));
    target.set(f.tx * a + f.nx * u, f.ty * a + f.ny * u, z);
    // Azimuth 0 looks straight along the edge at the cut face; it grows toward the outside.
    const along = -Math.cos(look.azimuth) * ce, out = Math.sin(look.azimuth) * ce;
    const distance = size / look.zoom / (2 * Math.tan(13 * Math.PI / 180));
    camera.position.set(target.x + distance * (f.tx * along - f.nx * out), target.y + distance * (f.ty * along - f.ny * out),
      target.z + distance * Math.sin(look.elevation));
    camera.near = distance / 50; camera.far = distance * 60;
    camera.lookAt(target);
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
      look.elevation = Math.max(now.lowest, Math.min(1.5, look.elevation + b));
      ask();
    },
    zoom(k) { look.zoom = Math.max(0.3, Math.min(60, look.zoom * k)); ask(); },
    home() { Object.assign(look, { azimuth: 0.62, elevation: 0.5, zoom: 1, near: null }); ask(); },
    // "face" or "foot", near enough for a lip or a band of some hundredths.
    near(place) { Object.assign(look, { azimuth: 0.9, elevation: 0.4, zoom: 1, near: place }); ask(); },
    light(azimuth, height) { look.lightAzimuth = azimuth; look.lightHeight = height; ask(); },
    refresh: ask,
    show(walk, stations, settings, s) {
      const station = stations[nearestStation(stations, s)];
      const pieces = walk.sections[station.section], other = station.across === null || station.across === undefined ? [] : walk.sections[station.across];
      const endOf = (last) => (last ? (last[0] === 2 ? last[last.length - 2] : last[3]) : 0);
      const span = endOf(pieces[pieces.length - 1]) || 1, low = Math.min(0, endOf(other[other.length - 1]));
      const m = edgeMesh(walk, stations, settings, s, Math.max(18, 5 * span), (points) => THREE.ShapeUtils.triangulateShape(points.map((p) => new THREE.Vector2(p.x, p.y)), []));
      const g = new THREE.BufferGeometry();
      g.setAttribute("position", new THREE.Float32BufferAttribute(m.positions, 3));
      g.setAttribute("normal", new THREE.Float32BufferAttribute(m.normals, 3));
      g.setAttribute("inward", new THREE.Float32BufferAttribute(m.inward, 2));
      g.setAttribute("across", new THREE.Float32BufferAttribute(m.across, 2));
      g.setIndex(m.faces);
      mesh.geometry.dispose();
      mesh.geometry = g;
      const bodies = bodyHeights(walk, [...pieces, ...other], low, span - low, 2048);
      if (uniforms.body.value !== empty) uniforms.body.value.dispose();
      const texture = new THREE.DataTexture(bodies, 2048, 1, THREE.RGBAFormat, THREE.FloatType);
      texture.needsUpdate = true;
      uniforms.body.value = texture;
      uniforms.low.value = low;
      uniforms.span.value = span - low;
      const layers = layerTops(settings, liesTurned(walk)).slice(0, 8);
      uniforms.colors.value = Array.from({ length: 8 }, (_, i) => new THREE.Color((layers[i] || layers[layers.length - 1]).color));
      uniforms.bottoms.value = Array.from({ length: 8 }, (_, i) => (layers[i] ? layers[i].bottom : -1e6));
      uniforms.grain.value = /oak|ash|beech|birch|maple|walnut|cherry|pine|spruce|wood|ply|veneer/i.test(settings.layers.map((l) => l.name).join(" ")) ? 1 : 0.12;
      const depth = walk.folded ? settings.thickness : Math.max(station.foot_depth || 0, walk.wanted.depth), f = m.frame;
      now.lowest = walk.folded ? -1.4 : -0.3;
      now.frame = f;
      now.size = 1.75 * Math.max(depth, span - low);
      now.middle = [span * 0.25, low < 0 ? (span + low) / 2 : span * 0.42, -depth * 0.5];
      // Places at the cut, and how much to show there.
      const closer = (small) => Math.min(now.size, Math.max(1.5, 8 * (small || 0)));
      now.face = [0, station.round_width, -(station.lip || 0) / 2, closer(station.lip)];
      now.foot = [0, (station.band || 0) / 2, -(station.foot_depth || 0), closer(station.band)];
      ask();
    },
  };
  return api;
}
