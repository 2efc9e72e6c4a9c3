// The whole job, once the knobs rest: the window, the edge along its contour, the close-up.

let wholeShape = null;  // what the whole job was last asked with
let wholeTimer = null, wholeAsked = null, pictureAsked = null;
let whole = null, walked = false;

function endWhole() {
  if (wholeAsked) wholeAsked.abort();
  if (pictureAsked) pictureAsked.abort();
}

// Once a knob turns that shapes the edge, what was asked about the edge before is not worth its time.
function dropWhole() {
  clearTimeout(wholeTimer);
  if (wholeShape === null || wholeShape === shapeAsked()) return;
  wholeShape = null;
  endWhole();
}

function askWholeAtRest() {
  clearTimeout(wholeTimer);
  wholeTimer = setTimeout(askWhole, 150);
}

// The window, then the whole job with its close-up; older questions are dropped.
async function askWhole() {
  endWhole();
  wholeAsked = new AbortController();
  const mine = wholeAsked, signal = mine.signal, body = asTurn(question()), shape = shapeAsked(), box = document.getElementById("whole");
  box.classList.add("stale");
  wholeShape = shape;
  askShop();
  try {
    const of = bestAsked();
    const folded = Boolean(state.answer && state.answer.folded);
    const askMap = async () => {
      const map = await ask("/window", body, signal);
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
    const answer = await ask("/whole", { ...body, ...pictureRoom(), picture: !folded }, signal);
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
      await askPicture(body);
      if (!signal.aborted) await askMap();
      best = askBest(body, of, signal);
    }
    await best;
    box.dataset.done = String(Number(box.dataset.done || 0) + 1);
  } catch (error) {
    if (error.name === "AbortError") return;  // asked again
    wholeShape = null;
    say(`No answer: ${error.message}`);
  } finally {
    if (wholeAsked === mine) wholeAsked = null;
  }
}

async function askBest(body, of, signal) {
  const best = await ask("/best", body, signal);
  if (!whole.map || !whole.map.rows || of !== bestAsked()) return;
  whole.map.dial = best.ok ? best.dial : null;
  whole.best = { of, dial: whole.map.dial };
  drawMap();
  showVerdict();
}

// Where only the picture is to be another, as for a phone turned on its side.
function askPictureAgain() {
  if (wholeAsked) askWhole();
  else if (whole && whole.picture) askPicture(asTurn(question()));
}

// The close-up of an edge that folds comes last; a newer question ends the drawing of an older one.
async function askPicture(body) {
  if (pictureAsked) pictureAsked.abort();
  const mine = pictureAsked = new AbortController(), figure = document.getElementById("close-up");
  figure.classList.remove("hidden");
  figure.classList.add("drawing-now");
  try {
    const answer = await ask("/picture", { ...body, ...pictureRoom() }, mine.signal);
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
