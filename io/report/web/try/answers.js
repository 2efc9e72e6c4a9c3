// The quick answer to every turn of a knob: the section, its measures and the verdict.

const kQuick = 25;  // ms
const kPlaceInFile = /^[^:]*:\d+:\d+: /;
let told = "";  // to be said once the next answer is there
let cutRunning = false, cutWanted = false, lastSource = null;
let feeds = null, shop = null, shopRunning = false, shopWanted = false;
let solid = null;

function changed(path) {
  lastSource = path;
  const depthPath = state.settings && `operations/${edgeOperations()[state.edge]}/depth`;
  if (path === depthPath) {
    const mm = typedLength(state.values[path] || "");
    if (mm !== null) passesFollowDepth(mm);
  }
  dropWhole();
  cutWanted = true;
  askCut();
}

// One question at a time, always with the newest numbers.
async function askCut() {
  if (cutRunning || !cutWanted) return;
  cutRunning = true;
  cutWanted = false;
  try {
    // What shapes the edge is a turn of its own: long work for older turns ends, and makes way for this.
    const asked = wholeShape === shapeAsked() ? question() : asTurn(question()), started = performance.now();
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
  for (const [field, list] of texts) {
    const text = list.join(" "), hint = / are meant/.test(text) ? "" : field.hint();
    field.blame(hint ? `${text.replace(/\.?$/, ".")} ${hint}` : text);
  }
  say(general.join(" "));
}

function showCut(answer) {
  const live = document.getElementById("live");
  live.classList.toggle("refused", !answer.ok);
  live.classList.toggle("mendable", !answer.ok && Boolean(state.first) && bestSetting() !== null);
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
  // Marks and loads follow a knob that moves where they do not hold up the edge itself; else they wait for its rest.
  if (shop && (shop.shape === shapeAsked() || (answer.milliseconds < kQuick && shop.milliseconds < 2 * kQuick))) askShop();
  // The whole job is as it was where only feeds and speeds were turned.
  if (wholeShape === shapeAsked()) return;
  if (!shop || shop.shape !== shapeAsked()) document.getElementById("shop").classList.add("stale");
  askWholeAtRest();
}

// One question at a time, always with the newest numbers, as for the cut.
async function askShop() {
  shopWanted = true;
  if (shopRunning) return;
  shopRunning = true;
  try {
    while (shopWanted) {
      shopWanted = false;
      const shape = shapeAsked(), started = performance.now(), answer = await ask("/shop", { ...question(), page: `${pageName}-shop`, turn: ++turn });
      if (!answer.ok) continue;  // what is refused stands at its field
      shop = { ...answer, shape, milliseconds: performance.now() - started };
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
