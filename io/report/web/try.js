// The page that answers while its numbers change. All settings are kept here and sent with every question.

const scene = JSON.parse(document.getElementById("data-scene").textContent);

const state = {
  edge: 0,          // which edge operation
  values: {},       // path in the scene -> text, what was changed
  zError: 0,        // mm
  undo: [],
  settings: null,   // of the last good answer
  first: null,      // of the scene as it is
  answer: null,
};

async function ask(path, body, signal) {
  const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });
  if (!response.ok) throw new Error((await response.text()).trim());
  return response.json();
}

function question() {
  return { edits: Object.entries(state.values).map(([path, value]) => ({ path, value })), edge: state.edge, z_error: state.zError };
}

// So that the server drops what this page no longer waits for.
const pageName = crypto.randomUUID();
let turn = 0;
const asTurn = (body) => ({ ...body, page: pageName, turn: ++turn });

function say(text) { document.getElementById("message").textContent = text; }

// The scene's own unit, for numbers written into it.
function sceneNumber(mm) {
  const inch = state.first && state.first.inch;
  return String(Number((inch ? mm / 25.4 : mm).toFixed(inch ? 5 : 4)));
}

// A length as typed ("3.55", "1/8 in", "1-1/4 in"), in mm; null when it is not plain. To set the slider and the passes
// that end at the depth: the scene's reader has the last word.
function typedLength(text) {
  const m = /^\s*(-?)(?:(\d+)[- ])?(\d*\.?\d+)(?:\/(\d+))?\s*(mm|inch|in|"|thou)?\s*$/.exec(text);
  if (!m || (m[2] && !m[4])) return null;
  const scale = { mm: 1, in: 25.4, inch: 25.4, '"': 25.4, thou: 0.0254 }[m[5] || (state.first.inch ? "in" : "mm")];
  return (m[1] ? -1 : 1) * (Number(m[2] || 0) + Number(m[3]) / Number(m[4] || 1)) * scale;
}

const kMostZError = 5;  // mm, as the server takes it

// What the close-up has room for here.
const onPhone = window.matchMedia("(max-width: 560px)");
const pictureRoom = () => (onPhone.matches ? { narrow: true, unit: unit.name } : {});

// ---- fields ----

class Field {
  // spec: { path, name, kind: "length" | "feed" | "angle" | "plain" | "passes", from, to, step, own }
  constructor(spec) {
    this.spec = spec;
    const id = `field-${spec.path.replace(/\W+/g, "-")}`;
    this.text = make("input", { type: "text", id, autocomplete: "off", spellcheck: "false", inputmode: spec.kind === "passes" ? "text" : "decimal" });
    this.fault = make("div", { class: "fault", id: `${id}-fault`, role: "alert" });
    this.text.setAttribute("aria-describedby", this.fault.id);
    this.slider = make("input", { type: "range", min: spec.from, max: spec.to, step: spec.step, "aria-label": `${spec.name}, slider` });
    this.label = make("label", { for: id });
    this.box = make("div", { class: "field" }, this.label, this.text, this.slider, this.fault);
    this.show();
    this.text.addEventListener("focus", () => { this.held = false; });
    this.text.addEventListener("input", () => this.typed());
    this.text.addEventListener("change", () => { this.held = false; });
    this.slider.addEventListener("input", () => {
      keepForUndo(this, this.held);
      this.held = true;
      this.set(Number(this.slider.value));
    });
    this.slider.addEventListener("change", () => { this.held = false; });
  }

  typed() {
    keepForUndo(this, this.held);
    this.held = true;
    const text = this.text.value;
    if (this.spec.own) {
      const mm = typedLength(text);
      if (mm === null) { this.blame("write a length, such as 0.05 mm"); return; }
      if (Math.abs(mm) > kMostZError) { this.blame(`write ${length(kMostZError)} at most, either way`); return; }
      this.spec.own(mm);
    } else {
      const bare = (this.spec.kind === "length" || this.spec.kind === "feed") && /^\s*-?\d*\.?\d+\s*$/.test(text) && (unit.name === "in") !== state.first.inch;
      state.values[this.spec.path] = bare ? `${text.trim()} ${unit.name}${this.spec.kind === "feed" ? "/min" : ""}` : text;
    }
    const v = this.spec.kind === "feed" ? (typedLength(text.replace(/\/min\s*$/, "")) ?? NaN) : this.spec.kind === "length" ? typedLength(state.values[this.spec.path] ?? text)
      : this.spec.kind === "passes" ? (/,/.test(text) ? text.split(",").length : Number(text)) : Number(text);
    if (v !== null && Number.isFinite(v)) this.slider.value = v;
    changed(this.spec.path);
  }

  // From the slider: mm, mm/min, rpm.
  set(value) {
    if (this.spec.own) this.spec.own(value);
    else state.values[this.spec.path] = ["plain", "passes", "angle"].includes(this.spec.kind) ? String(value) : this.spec.kind === "feed" ? `${value} mm/min` : sceneNumber(value);
    this.write(value);
    changed(this.spec.path);
  }

  write(value) {
    if (this.spec.kind === "length") this.text.value = length(value, 3).replace(/ .*/, "");
    else if (this.spec.kind === "feed") this.text.value = value ? feed(value).replace(/ .*/, "") : "";
    else if (this.spec.kind === "angle") this.text.value = String(Number(value.toFixed(2)));
    else this.text.value = String(Math.round(value));
  }

  // The value that the last good answer used.
  show() {
    const { name, kind } = this.spec, now = this.spec.read();
    this.label.textContent = kind === "feed" ? `${name}, ${unit.name}/min` : kind === "length" ? `${name}, ${unit.name}` : kind === "angle" ? `${name}, degrees` : this.spec.note ? `${name}${this.spec.note()}` : name;
    if (kind === "passes") this.text.value = this.spec.written(); else this.write(now ?? 0);
    if (now !== null) {
      this.slider.min = Math.min(Number(this.slider.min), now);
      this.slider.max = Math.max(Number(this.slider.max), now);
      this.slider.value = now;
    }
  }

  blame(text) {
    this.fault.textContent = text;
    if (text) this.text.setAttribute("aria-invalid", "true"); else this.text.removeAttribute("aria-invalid");
  }

  mark() { this.box.classList.toggle("changed", this.spec.own ? this.spec.read() !== 0 : this.spec.path in state.values); }
}

let fields = [], shownKind = null;

function keepForUndo(field, going) {
  if (going) return;
  state.undo.push({ values: { ...state.values }, zError: state.zError });
  document.getElementById("undo").disabled = false;
}

function undo() {
  const last = state.undo.pop();
  if (!last) return;
  state.values = last.values;
  state.zError = last.zError;
  document.getElementById("undo").disabled = state.undo.length === 0;
  changed(null);
}

const operation = () => state.settings.operations[edgeOperations()[state.edge]];
const edgeOperations = () => state.settings.operations.map((op, i) => [op, i]).filter(([op]) => op.kind === "edge" || (op.kind === "program" && op.contour)).map(([, i]) => i);
const bitOf = (op) => state.settings.bits.find((b) => b.id === op.bit);

// Passes that are a list must end at the depth.
function passesFollowDepth(mm) {
  const index = edgeOperations()[state.edge], op = operation();
  if (op.pass_count !== null || op.passes.length < 2) return;
  const before = state.first.operations[index].passes.slice(0, -1).filter((p) => p < mm - 0.05);
  state.values[`operations/${index}/passes`] = [...before, mm].map(sceneNumber).join(", ") + (before.length ? "" : ",").replace(/,$/, "");
  if (!before.length) state.values[`operations/${index}/passes`] = "1";
}

function passesNote(op) {
  if (op.pass_count === null && op.passes.length > 1) return `: depths in ${state.first.inch ? "in" : "mm"}, or a count`;
  return `${op.pass_balanced ? " of equal work" : ""}${op.pass_finish > 0 ? `, then a last one of ${length(op.pass_finish)}` : ""}: a count, or depths in ${state.first.inch ? "in" : "mm"}`;
}

// Every number of an undercut bit's form; of the others those that an edge hangs on.
function bitFields(bit, size, bitNow) {
  const at = (key) => `bits/${bit.id}/${key}`;
  if (bit.numbers.length)
    return bit.numbers.map((n) => ({ path: at(n.key), name: n.name, kind: n.angle ? "angle" : "length", from: n.lo, to: n.hi, step: n.angle ? 0.1 : 0.01,
      read: () => bitNow().numbers.find((m) => m.key === n.key)?.value ?? null }));
  const one = (key, name, from, to) => ({ path: at(key), name, kind: "length", read: () => bitNow()[key], from, to, step: 0.01 });
  if (bit.form === "point_roundover")
    return [one("working_depth", "Working depth", 0.5 * (bit.radius || size), bit.radius || size), one("tip_flat", "Tip flat, across", 0, Math.max(1, bit.tip_flat * 2))];
  return [bit.form === "chamfer" ? one("cutting_diameter", "Cutting diameter", bit.cutting_diameter * 0.7, bit.cutting_diameter * 1.3) : null,
    bit.radius ? one("radius", "Radius", bit.radius * 0.5, bit.radius * 1.5) : null];
}

function buildFields() {
  const index = edgeOperations()[state.edge], op = operation(), bit = bitOf(op), at = `operations/${index}`;
  const first = state.first.operations[index], size = Math.max(bit.working_depth || 0, bit.radius || 0, first.depth, 1);
  const now = () => operation(), bitNow = () => bitOf(operation());
  const groups = [];
  const group = (name, ...specs) => groups.push({ name, fields: specs.filter(Boolean).map((s) => new Field(s)) });
  // What a program does stands in the program.
  if (op.kind !== "program") group("Cut",
    { path: `${at}/depth`, name: "Depth", kind: "length", read: () => now().depth, from: 0.1, to: size * 1.4, step: 0.01 },
    { path: `${at}/offset`, name: "Offset: axis off the line", kind: "length", read: () => now().offset, from: -0.2 * size, to: 0.5 * size, step: 0.01 },
    { path: `${at}/passes`, name: "Passes", kind: "passes", from: 1, to: 8, step: 1, read: () => now().pass_count ?? now().passes.length,
      note: () => passesNote(now()), written: () => (now().pass_count !== null || now().passes.length < 2 ? String(now().pass_count ?? now().passes.length) : now().passes.map(sceneNumber).join(", ")) },
    { path: `${at}/feed`, name: "Feed", kind: "feed", read: () => now().feed, from: 200, to: 8000, step: 20 },
    { path: `${at}/spindle`, name: "Spindle, rpm", kind: "plain", read: () => now().spindle, from: 3000, to: bit.max_spindle || 24000, step: 100 });
  else group("Program", ...["X", "Y"].map((axis, k) => ({ path: `${at}/place/${k}`, name: `Its zero on the sheet, ${axis}`, kind: "length",
    read: () => now().place[k], from: 0, to: state.first.size[k], step: 0.1 })));
  const bitGroup = `Bit ${bit.id}`;
  group(bitGroup, ...bitFields(bit, size, bitNow));
  group("Sheet", ...state.first.layers.map((l, i) => ({ path: `stock/layers/${i}/thickness`, name: `Layer ${l.name}`, kind: "length",
    read: () => state.settings.layers[i].thickness, from: Math.max(0.05, l.thickness * 0.4), to: l.thickness * 1.6, step: 0.01 })));
  group("What if", { path: "z_error", name: "Z zero too low by", kind: "length", read: () => state.zError, from: -0.3, to: 0.3, step: 0.005,
    own: (mm) => { state.zError = mm; } });
  fields = groups.flatMap((g) => g.fields);
  const kept = state.first.bits.find((b) => b.id === bit.id)?.kept_in;
  document.getElementById("fields").replaceChildren(...groups.filter((g) => g.fields.length)
    .map((g) => make("fieldset", {}, make("legend", {}, g.name), g.name === bitGroup && kept ? make("p", { class: "note" }, `Kept in ${kept}. What you set here is for this try; that file stays as it is.`) : null, ...g.fields.map((f) => f.box), g.name === "Cut" ? feeds.line : null)));
}

// ---- answers ----

const kPlaceInFile = /^[^:]*:\d+:\d+: /;
let told = "";  // to be said once the next answer is there
let wholeShape = null;  // what the whole job was last asked with
let cutRunning = false, cutWanted = false, wholeTimer = null, wholeAsked = null, windowAsked = null, pictureAsked = null;
let solid = null, whole = null, lastSource = null, walked = false;
let feeds = null, shop = null, shopRunning = false, shopWanted = false;

// What of the settings shapes the edge: all but feeds and speeds.
const kFeeds = /^operations\/\d+\/(feed|plunge_feed|spindle)$/;
function shapeAsked() {
  const asked = question();
  return JSON.stringify({ ...asked, edits: asked.edits.filter((e) => !kFeeds.test(e.path)) });
}

function changed(path) {
  lastSource = path;
  const depthPath = state.settings && `operations/${edgeOperations()[state.edge]}/depth`;
  if (path === depthPath) {
    const mm = typedLength(state.values[path] || "");
    if (mm !== null) passesFollowDepth(mm);
  }
  cutWanted = true;
  askCut();
}

// One question at a time, always with the newest numbers.
async function askCut() {
  if (cutRunning || !cutWanted) return;
  cutRunning = true;
  cutWanted = false;
  try {
    const asked = question(), started = performance.now();
    const answer = await ask("/cut", asked);
    answer.milliseconds = performance.now() - started;
    showCut(answer);
  } catch (error) {
    say(`No answer: ${error.message}. Is the program still running?`);
  } finally {
    cutRunning = false;
    if (cutWanted) askCut();
  }
}

// At the field that is at fault. What is wrong elsewhere in the scene, such as a cut-out deeper than the sheet has become,
// comes of the field that was changed last.
function showFaults(faults) {
  for (const f of fields) f.blame("");
  const texts = new Map(), general = [], touched = fields.find((f) => f.spec.path === lastSource);
  for (const fault of faults) {
    const field = fields.find((f) => f.spec.path === fault.path) || touched;
    if (field) texts.set(field, [...(texts.get(field) || []), fault.path ? fault.text : inUnit(fault.text.replace(kPlaceInFile, ""))]);
    else general.push(fault.text);
  }
  for (const [field, list] of texts) field.blame(list.join(" "));
  say(general.join(" "));
}

function showCut(answer) {
  const live = document.getElementById("live");
  live.classList.toggle("refused", !answer.ok);
  if (!answer.ok) {
    // A program that is not yet in its place: fields to place it.
    if (answer.settings && state.first) {
      state.settings = answer.settings;
      if (operation().kind !== shownKind) { shownKind = operation().kind; chooseEdges(); buildFields(); }
    }
    showFaults(answer.faults);
    return;
  }
  state.answer = answer;
  state.settings = answer.settings;
  if (!state.first) {
    state.first = structuredClone(answer.settings);
    if (answer.settings.inch) unit.name = "in";
    shownKind = operation().kind;
    chooseEdges();
    buildFields();
    for (const f of unit.listeners) f();
  }
  showFaults([]);
  if (told) { say(told); told = ""; }
  const kind = operation().kind;
  if (kind !== shownKind) { shownKind = kind; chooseEdges(); buildFields(); }
  for (const f of fields) {
    if (f.spec.path !== lastSource) f.show();
    f.mark();
  }
  live.dataset.milliseconds = answer.milliseconds.toFixed(1);
  drawCut();
  if (shop && shop.shape === shapeAsked()) askShop();
  // The whole job is as it was where only feeds and speeds were turned.
  if (wholeShape === shapeAsked()) return;
  document.getElementById("shop").classList.add("stale");
  clearTimeout(wholeTimer);
  wholeTimer = setTimeout(askWhole, 250);
}

// One question at a time, always with the newest numbers, as for the cut.
async function askShop() {
  shopWanted = true;
  if (shopRunning) return;
  shopRunning = true;
  try {
    while (shopWanted) {
      shopWanted = false;
      const shape = shapeAsked(), answer = await ask("/shop", { ...question(), page: `${pageName}-shop`, turn: ++turn });
      if (!answer.ok) continue;  // what is refused stands at its field
      shop = { ...answer, shape };
      document.getElementById("shop").classList.toggle("stale", shape !== shapeAsked());
      showShop();
    }
  } catch (error) {
    say(`No answer: ${error.message}. Is the program still running?`);
  } finally {
    shopRunning = false;
  }
}

function showShop() { if (shop) feeds.show(shop, operation(), state.settings); }

function drawCut() {
  const { answer } = state;
  if (!answer) return;
  showVerdict();
  fillMeasures(document.getElementById("measures"), answer.station, answer.settings, answer.wanted);
  drawSection(document.getElementById("section-drawing"), { pieces: answer.pieces, station: answer.station, wanted: answer.wanted,
    settings: answer.settings, wishes: answer.settings.wishes, folded: answer.folded, both: answer.both, turned: answer.turned, across: answer.across });
  document.getElementById("section-title").textContent = answer.turned ? "Section, the lower face drawn on top" : "Section";
  if (solid) solid.show(...straightEdge(answer), 0);
  if (whole && whole.map) drawMap();
}

// With the best setting as what to change, where the server has found it for this bit, sheet and wishes.
function showVerdict() {
  const { verdict } = state.answer, op = operation(), dial = state.zError ? null : bestSetting();
  // The server's words are of the depth as it comes out, not of the one that is set.
  const cure = state.zError && !verdict.good ? `That is with Z zero ${length(Math.abs(state.zError))} too ${state.zError > 0 ? "low" : "high"}: zero it again, or set the depth so much ${state.zError > 0 ? "less" : "greater"}` : dial && cureOf({ verdict, program: op.kind === "program", depth_mm: op.depth, offset_mm: op.offset }, { dial });
  const act = dial && cure && op.kind !== "program" ? make("button", { type: "button", id: "set-so", onclick: setToBest }, "Set it so") : null;
  document.getElementById("verdict").replaceChildren(verdictBox(verdict, cure, null, act));
  showWholeVerdict();
}

function setToBest() {
  const dial = bestSetting();
  if (!dial) return;
  pick(dial.depth, dial.offset);
  document.getElementById("verdict").focus();
}

// The answer's section along a straight edge, for the solid to follow at once; the whole job replaces it.
function straightEdge(answer) {
  const long = 200, station = { ...answer.station, section: 0, across: answer.across ? 1 : null };
  const walk = { contour: [[0, 0, 0, long, 0]], closed: false, left: true, sections: [answer.pieces, answer.across].filter(Boolean), wanted: answer.wanted,
    folded: answer.folded, both: answer.both, face: answer.turned ? "bottom" : "top" };
  return [walk, [{ ...station, s: 0 }, { ...station, s: long }], answer.settings];
}

function drawMap() {
  const op = operation(), none = whole.map.none || "";
  document.getElementById("no-window").textContent = none;
  document.getElementById("window-title").textContent = none ? "Depth and axis" : op.kind === "program" ? "The window: what to aim the program at" : "The window: click to set depth and axis";
  document.getElementById("window-box").classList.toggle("hidden", none !== "");
  if (none) return;
  drawWindow(document.getElementById("window-drawing"), whole.map, { depth: op.depth + state.zError, offset: op.offset }, (depth, offset) => pick(depth - state.zError, offset));
  const dial = bestSetting(), button = document.getElementById("best");
  button.disabled = !dial;
  // Nothing searches for undercut bits, and what a program does stands in the program.
  button.classList.toggle("hidden", op.kind === "program" || bitOf(op).numbers.length > 0);
  button.textContent = dial ? `Set to the best: ${length(dial.depth)} deep, ${length(dial.offset)} off the line` : "Set to the best";
  const aim = dial && op.kind === "program" ? `Aim the program at ${length(dial.depth)} deep, ${length(dial.offset)} off the line; change it and drop it here again. ` : "";
  document.getElementById("best-chance").textContent = dial
    ? `${aim}${percent(dial.chance)} of edges within every wish with the usual errors${dial.chance_now === null ? "" : `; as it stands ${percent(dial.chance_now)}`}${dial.set_aside.length ? `. No setting meets every wish: this one sets aside ${dial.set_aside.join(", ")}` : ""}.` : "";
}

// The setting that the server found for what the page shows now, marked with a diamond in the window; as written, so
// that the fields then say what the button said.
function bestSetting() {
  const dial = whole && whole.map && whole.map.rows && whole.map.dial;
  if (!dial || dial.depth === undefined || whole.best.of !== bestAsked()) return null;
  const written = (mm) => Number(mm.toFixed(3));
  return { ...dial, depth: written(dial.depth), offset: written(dial.offset) };
}

// What the best setting depends on: all that was changed but the setting itself.
function bestAsked() {
  const index = edgeOperations()[state.edge], own = new RegExp(`^operations/${index}/(depth|offset|passes|feed|spindle)$`);
  return JSON.stringify([state.edge, Object.entries(state.values).filter(([path]) => !own.test(path)).sort()]);
}

// A place in the window: both numbers at once.
function pick(depth, offset) {
  if (operation().kind === "program") { say("Depth and axis are the program's own: change the program, then drop it here again."); return; }
  keepForUndo(null, false);
  const at = `operations/${edgeOperations()[state.edge]}`;
  state.values[`${at}/depth`] = sceneNumber(depth);
  state.values[`${at}/offset`] = sceneNumber(offset);
  passesFollowDepth(depth);
  changed(null);
}

// The window, then the whole job with its close-up; older questions are dropped.
async function askWhole() {
  if (wholeAsked) wholeAsked.abort();
  if (windowAsked) windowAsked.abort();
  if (pictureAsked) pictureAsked.abort();
  wholeAsked = new AbortController();
  windowAsked = wholeAsked;
  const signal = wholeAsked.signal, body = question(), shape = shapeAsked(), box = document.getElementById("whole");
  box.classList.add("stale");
  wholeShape = shape;
  askShop();
  try {
    const of = bestAsked();
    const folded = Boolean(state.answer && state.answer.folded);
    const askMap = async () => {
      const map = await ask("/window", asTurn(body), signal);
      whole = { ...(whole || {}), map: map.ok ? map : whole && whole.map };
      // The setting found before still is the best where only the setting was turned.
      if (map.ok && map.rows && whole.best && whole.best.of === of && whole.best.dial) map.dial = { ...whole.best.dial, chance_now: null };
      if (whole.map) drawMap();
    };
    // Of an edge that folds the map takes longest, and comes after the close-up.
    let best = null;
    if (!folded) {
      await askMap();
      best = askBest(body, of, signal);
      best.catch(() => null);  // heard of below, where the whole job has not failed before
    }
    const answer = await ask("/whole", asTurn({ ...body, ...pictureRoom(), picture: !folded }), signal);
    box.classList.remove("stale");
    if (!answer.ok) {
      wholeShape = null;
      // What the quick answer refused stands at its field already.
      if (!document.getElementById("live").classList.contains("refused")) showFaults(answer.faults);
      return;
    }
    whole = { ...whole, ...answer, asked: shape, picture: folded ? whole && whole.picture : answer.picture };
    showWhole();
    showVerdict();
    if (folded) {
      await askPicture();
      if (!signal.aborted) await askMap();
      best = askBest(body, of, signal);
    }
    await best;
    box.dataset.done = String(Number(box.dataset.done || 0) + 1);
  } catch (error) {
    if (error.name === "AbortError") return;  // asked again
    wholeShape = null;
    say(`No answer: ${error.message}`);
  }
}

async function askBest(body, of, signal) {
  // Beside the whole job, and ended by the next of its kind alone.
  const best = await ask("/best", { ...body, page: `${pageName}-best`, turn: ++turn }, signal);
  if (!whole.map || !whole.map.rows || of !== bestAsked()) return;
  whole.map.dial = best.ok ? best.dial : null;
  whole.best = { of, dial: whole.map.dial };
  drawMap();
  showVerdict();
}

// The close-up of an edge that folds comes last; a newer question ends the drawing of an older one.
async function askPicture() {
  if (pictureAsked) pictureAsked.abort();
  const mine = pictureAsked = new AbortController(), figure = document.getElementById("close-up");
  figure.classList.remove("hidden");
  figure.classList.add("drawing-now");
  try {
    const answer = await ask("/picture", asTurn({ ...question(), ...pictureRoom() }), mine.signal);
    if (answer.ok && whole) { whole.picture = answer.picture; showPicture(); }
  } catch (error) {
    if (error.name !== "AbortError") say(`No answer: ${error.message}`);
  } finally {
    if (pictureAsked === mine) { pictureAsked = null; figure.classList.remove("drawing-now"); }
  }
}

function showPicture() {
  const figure = document.getElementById("close-up");
  figure.classList.toggle("hidden", !whole.picture && !pictureAsked);
  figure.querySelector("img").classList.toggle("hidden", !whole.picture);
  if (whole.picture) figure.querySelector("img").src = whole.picture;
}

// Where the whole job is judged otherwise than its quick answer, that is said beside it: places the bit does not reach,
// other operations that cut into the edge.
function showWholeVerdict() {
  const edge = whole && whole.report && whole.report.edges[whole.edge], quick = state.answer.verdict;
  if (!edge || whole.asked !== shapeAsked() || edge.verdict.good === quick.good) return;
  document.getElementById("verdict").append(make("p", { class: "whole-verdict" }, `Along the whole edge: ${inUnit(edge.verdict.text)}`));
}

function showWhole() {
  if (!whole || !whole.walk || whole.edge === null) return;
  const walk = whole.walk.walk[whole.edge], stations = stationsOf(walk), settings = whole.walk.settings;
  showPicture();
  const knobInput = document.getElementById("walk-knob").querySelector("input");
  knobInput.max = Math.max(0, stations.length - 1);
  const go = (i) => {
    const s = stations[i];
    if (!s) return;
    knobInput.value = i;
    document.getElementById("walk-knob").querySelector("output").textContent = length(s.s, 1);
    along.move(s.s);
    if (solid) solid.show(walk, stations, settings, s.s);
  };
  const along = drawAlong(document.getElementById("along-drawing"), walk, stations, settings, (s) => go(nearestStation(stations, s)));
  whole.go = go;
  if (!walked) knobInput.value = walk.shown ?? (walk.folded ? nearestStation(stations, state.answer.station.s) : 0);
  walked = true;
  go(Math.min(Number(knobInput.value), stations.length - 1));
  const list = document.getElementById("warnings");
  list.replaceChildren(...whole.report.warnings.map((w) => make("li", {}, inUnit(w.text))));
  document.getElementById("warnings-box").classList.toggle("hidden", whole.report.warnings.length === 0);
}

// ---- saving and drawings ----

function dialog(title, ...content) {
  const close = () => { box.close(); box.remove(); };
  const box = make("dialog", { "aria-label": title }, make("h2", {}, title), ...content);
  document.body.append(box);
  box.addEventListener("cancel", () => setTimeout(close));
  box.showModal();
  return close;
}

function suggestedName() {
  const stem = scene.file.replace(/\.toml$/, "").replace(/-tried(-\d+)?$/, "");
  return `${stem}-tried.toml`;
}

function saveDialog() {
  const name = make("input", { type: "text", value: suggestedName(), "aria-label": "file name", autocomplete: "off",
    onkeydown: (e) => { if (e.key === "Enter") save(false); } });
  const answer = make("p", { role: "alert" });
  const over = make("button", { type: "button", class: "hidden", onclick: () => save(true) }, "Replace it");
  async function save(replace) {
    const result = await ask("/save", { ...question(), name: name.value.trim(), over: replace }).catch((e) => ({ ok: false, faults: [{ text: e.message }] }));
    over.classList.add("hidden");
    if (result.ok) {
      close();
      const own = result.own_bits.length ? ` Bit ${result.own_bits.join(", ")} stands in it with the numbers you set; ${result.bits_file} keeps its own.` : "";
      say(`Saved as ${result.name}, beside ${scene.file}.${own}${state.zError ? " The Z error is not part of it." : ""}`);
      return;
    }
    answer.textContent = result.exists ? `There is a ${result.name} already. Replace it, or write another name.` : result.faults.map((f) => f.text).join(" ");
    over.classList.toggle("hidden", !result.exists);
  }
  const close = dialog("Save as a new scene", make("label", {}, "File name", name), answer,
    make("div", { class: "tools" }, make("button", { type: "button", onclick: () => save(false) }, "Save"), over,
      make("button", { type: "button", onclick: () => close() }, "Cancel")));
}

const kDrawing = /\.(svg|dxf)$/i, kProgram = /\.(ngc|nc|tap|cnc|gcode)$/i;

async function takeFile(file) {
  if (!kDrawing.test(file.name) && !kProgram.test(file.name)) {
    say(`'${file.name}' is neither a drawing (.svg, .dxf) nor a program (.ngc, .nc, .tap, .cnc, .gcode).`);
    return;
  }
  if (file.size > 7e6) { say(`'${file.name}' is larger than 7 MB; simplify it, or write its name into the scene by hand.`); return; }
  const text = await file.text();
  const op = operation(), index = edgeOperations()[state.edge];
  const keep = async (over) => {
    const result = await ask("/dropped", { ...question(), name: file.name, text, over }).catch((e) => ({ ok: false, faults: [{ text: e.message }] }));
    if (result.ok) {
      keepForUndo(null, false);
      const drawing = kDrawing.test(result.name);
      // The operation's own figures go; edits of them would put them back.
      if (!drawing) for (const path of Object.keys(state.values)) if (path.startsWith(`operations/${index}/`)) delete state.values[path];
      state.values[result.edit.path] = result.edit.value;
      told = drawing ? `The contour '${op.contour}' is now taken from ${result.name}, kept beside the scene.`
        : `'${op.name}' now cuts what ${result.name} says (kept beside the scene), tool ${result.tool} being bit ${op.bit}; Undo takes it back.`;
      changed(null);
    } else if (result.exists) {
      const close = dialog(`Replace ${result.name}?`, make("p", {}, "A file of this name with other content stands beside the scene."),
        make("div", { class: "tools" }, make("button", { type: "button", onclick: () => { close(); keep(true); } }, "Replace it"),
          make("button", { type: "button", onclick: () => close() }, "Cancel")));
    } else say(result.faults.map((f) => f.text).join(" "));
  };
  await keep(false);
}

function chooseEdges() {
  const box = document.getElementById("edges");
  const list = edgeOperations();
  box.classList.toggle("hidden", list.length < 2);
  box.replaceChildren(...list.map((i, k) => make("button", { type: "button", "aria-pressed": String(k === state.edge), onclick: () => {
    state.edge = k;
    whole = shop = wholeShape = null;
    ask("/cut", question()).then((answer) => { if (answer.ok) { state.settings = answer.settings; chooseEdges(); buildFields(); showCut({ ...answer, milliseconds: 0 }); } });
  } }, state.settings.operations[i].name)));
}

// ---- the page ----

function buildTry() {
  feeds = feedPanel();
  const measures = measuresTable();
  measures.body.id = "measures";
  const file = make("input", { type: "file", accept: ".svg,.dxf,.ngc,.nc,.tap,.cnc,.gcode", class: "visually-hidden", id: "drawing-file", tabindex: -1, "aria-label": "drawing or program",
    onchange: () => { if (file.files[0]) takeFile(file.files[0]); file.value = ""; } });
  const walkKnob = knob("Walk along the edge", { min: 0, max: 1, step: 1, value: 0 }, (v) => { if (whole && whole.go) whole.go(v); });
  walkKnob.box.id = "walk-knob";
  const map = svg("svg", { class: "drawing map", id: "window-drawing", role: "application", tabindex: 0,
    "aria-label": "depth against offset; click a place, or use the arrow keys: left and right move the axis, up and down the depth" });
  map.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: [0, -0.02], ArrowRight: [0, 0.02], ArrowUp: [-0.02, 0], ArrowDown: [0.02, 0] }[e.key];
    if (!step || !state.settings) return;
    e.preventDefault();
    const op = operation();
    pick(op.depth + step[0], op.offset + step[1]);
  });
  document.getElementById("page").append(
    make("header", { class: "bar" }, make("div", {}, make("h1", {}, scene.file), make("span", { class: "quiet" }, "Turn a knob; the edge answers. Drop a drawing or a program on the page to try it.")),
      make("div", { class: "tools" }, unitButtons(), themeButton(), make("button", { type: "button", id: "undo", disabled: true, onclick: undo }, "Undo"),
        make("button", { type: "button", onclick: () => file.click() }, "Drawing or program…"), file,
        make("button", { type: "button", id: "save", onclick: saveDialog }, "Save as…"))),
    make("main", {},
      make("div", { id: "edges", class: "tools", role: "group", "aria-label": "Edge" }),
      make("p", { id: "message", role: "status" }),
      make("div", { class: "try" },
        make("form", { class: "settings card", "aria-label": "settings", onsubmit: (e) => e.preventDefault() }, make("div", { id: "fields" })),
        make("div", { class: "results" },
          make("div", { id: "live", class: "live" }, make("div", { id: "verdict", class: "pinned", tabindex: -1 }),
            make("div", { class: "grid" },
              make("div", { class: "c7" }, make("h2", { id: "section-title" }, "Section"), svg("svg", { class: "drawing", id: "section-drawing", role: "img", "aria-label": "section across the edge" })),
              make("div", { class: "c5" }, make("h2", {}, "Measured against your wishes"), measures.table),
              feeds.box)),
          make("div", { id: "whole" },
            make("section", { class: "grid" },
              make("div", { class: "c6" }, make("h2", { id: "window-title" }, "The window: click to set depth and axis"), make("p", { id: "no-window" }),
                make("div", { id: "window-box" }, map,
                  make("div", { class: "tools" }, make("button", { type: "button", id: "best", disabled: true,
                    onclick: setToBest }, "Set to the best")),
                  make("p", { id: "best-chance" }))),
              make("figure", { class: "c6 hidden", id: "close-up" }, make("h2", {}, "Close-up"), make("img", { alt: "the finished edge at its worst place, cut across, lit from the side" }))),
            make("section", { class: "grid" },
              make("div", { class: "c6" }, make("h2", {}, "The edge in raking light"),
                solidPanel((view) => { solid = view; drawCut(); showWhole(); })),
              make("div", { class: "c6" }, make("h2", {}, "Along the contour"),
                svg("svg", { class: "drawing", id: "along-drawing", role: "img", "aria-label": "measures along the contour" }), walkKnob.box)),
            make("section", { id: "warnings-box", class: "hidden" }, make("h2", {}, "Warnings"), make("ul", { class: "plain", id: "warnings" })))))));
  unit.listeners.push(() => { for (const f of fields) f.show(); drawCut(); showShop(); showWhole(); if (whole && whole.picture && onPhone.matches) askPicture(); });
  // A phone's close-up is lettered for its width.
  onPhone.addEventListener("change", () => { if (whole && whole.picture) askPicture(); });
  for (const name of ["dragover", "dragleave", "drop"])
    document.addEventListener(name, (e) => {
      e.preventDefault();
      document.body.classList.toggle("drop", name === "dragover");
      if (name === "drop" && e.dataTransfer.files[0] && state.settings) takeFile(e.dataTransfer.files[0]);
    });
  document.addEventListener("keydown", (e) => {
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && !/text/.test(e.target.type || "")) { e.preventDefault(); undo(); }
  });
  changed(null);
}

buildTry();
