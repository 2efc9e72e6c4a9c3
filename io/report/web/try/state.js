// All settings the page keeps, and how it asks. They are sent whole with every question.

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
  if (response.status === 409) throw new DOMException("a newer question took its place", "AbortError");
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

// What the close-up has room for here.
// What the close-up has room for here.
const onPhone = window.matchMedia("(max-width: 560px)");
const pictureRoom = () => (onPhone.matches ? { narrow: true, unit: unit.name } : {});

const operation = () => state.settings.operations[edgeOperations()[state.edge]];
const edgeOperations = () => state.settings.operations.map((op, i) => [op, i]).filter(([op]) => op.kind === "edge" || (op.kind === "program" && op.contour)).map(([, i]) => i);
const bitOf = (op) => state.settings.bits.find((b) => b.id === op.bit);

// What of the settings shapes the edge: all but feeds and speeds.
const kFeeds = /^operations\/\d+\/(feed|plunge_feed|spindle)$/;
function shapeAsked() {
  const asked = question();
  return JSON.stringify({ ...asked, edits: asked.edits.filter((e) => !kFeeds.test(e.path)) });
}

// What the best setting depends on: all that was changed but the setting itself.
function bestAsked() {
  const index = edgeOperations()[state.edge], own = new RegExp(`^operations/${index}/(depth|offset|passes|feed|spindle)$`);
  return JSON.stringify([state.edge, Object.entries(state.values).filter(([path]) => !own.test(path)).sort()]);
}

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
