// Measures held against the wishes.

// A flank that leans under the face leaves a corner there, an arris, told by the angle of the material and not as a break.
function leavesArris(wanted) { return wanted.face_break > 89.9; }

// Which measures of a section are beyond the wishes; a form's own angles are allowed beside them.
function overWishes(station, wishes, wanted) {
  const noise = 1e-6, turn = 6e-5;  // mm, degrees
  return {
    lip: station.lip === null || station.lip > wishes.lip + noise,
    band: station.band === null || station.band > wishes.band + noise,
    face_break: station.face_break === null || station.face_break > wishes.face_break + wanted.face_break + turn,
    wall_break: station.wall_break === null || station.wall_break > wishes.wall_break + wanted.wall_break + turn,
  };
}

// Rows of the measures' table for one section: [key, name, text, wish, over].
function measureRows(station, settings, wanted) {
  const w = settings.wishes, over = overWishes(station, w, wanted);
  const rows = [
    ["lip", "Lip", length(station.lip), `≤ ${length(w.lip)}`, over.lip],
    ["band", "Flat band", length(station.band), `≤ ${length(w.band)}`, over.band],
    !leavesArris(wanted) || station.face_break === null
      ? ["face_break", "Face break", degrees(station.face_break), `≤ ${degrees(w.face_break + wanted.face_break, 0)}`, over.face_break]
      : ["face_break", "Arris at the face", degrees(180 - station.face_break), `≥ ${degrees(180 - w.face_break - wanted.face_break, 0)}`, over.face_break],
    ["wall_break", "Wall break", degrees(station.wall_break), `≤ ${degrees(w.wall_break + wanted.wall_break, 0)}`, over.wall_break],
    ["foot_depth", "Foot depth", length(station.foot_depth), "", false],
    ["round_width", "Width on face", length(station.round_width), "", false],
  ];
  const o = station.other;
  if (o && o.lip !== undefined) {
    rows.push(["lip_below", "Lip at the other face", length(o.lip), `≤ ${length(w.lip)}`, o.lip === null || o.lip > w.lip + 1e-6],
      ["break_below", "Break at the other face", degrees(o.face_break), `≤ ${degrees(w.face_break + wanted.face_break, 0)}`, o.face_break > w.face_break + wanted.face_break + 6e-5],
      ["foot_below", "Foot from the other face", length(o.foot_depth), "", false]);
  }
  if (o && o.mismatch !== null) rows.push(["mismatch", "Halves differ by", length(o.mismatch), "", false]);
  if (o && o.wall_left > 0.0005) rows.push(["wall_left", "Wall left", length(o.wall_left), "", false]);
  if (o && o.thinnest !== null) rows.push(["thinnest", "Least thickness", length(o.thinnest), "", false]);
  settings.layers.forEach((l, i) => {
    const shows = station.exposure[i] || 0, hidden = w.hidden.includes(l.name);
    if (shows > 0.0005 || hidden)
      rows.push([`layer-${i}`, `${l.name} showing`, length(shows), hidden ? "none" : "", hidden && shows > 0.001]);
  });
  return rows;
}

const kMeans = { lip: "the step at the face", band: "the ledge at the foot", face_break: "the kink where curve meets face",
  wall_break: "the kink where curve meets wall", lip_below: "the step there" };

function fillMeasures(body, station, settings, wanted) {
  body.replaceChildren(...measureRows(station, settings, wanted).map(([key, name, text, wish, over]) =>
    make("tr", { class: over ? "over" : "", "data-measure": key },
      make("th", { scope: "row" }, over ? `▲ ${name}` : name, kMeans[key] && !name.startsWith("Arris") ? make("span", { class: "means" }, kMeans[key]) : ""), make("td", { class: "n value" }, text),
      make("td", { class: "n" }, wish))));
}

function measuresTable() {
  const body = make("tbody");
  const table = make("table", {}, make("thead", {}, make("tr", {},
    make("th", { scope: "col" }, "Measure"), make("th", { scope: "col", class: "n" }, "Here"),
    make("th", { scope: "col", class: "n" }, "Wish"))), body);
  return { table, body };
}

// "lip of ...; set depth ..." as what is wrong and what to change; `better`, where given, says that best; `odds` how sure it is;
// `act`, where given, is the button that does it.
function verdictBox(verdict, better, odds, act) {
  const cut = verdict.text.indexOf("; ");
  const what = cut < 0 ? verdict.text : verdict.text.slice(0, cut);
  const cure = better || (cut < 0 ? "" : verdict.text.slice(cut + 2));
  const upper = (t) => t.charAt(0).toUpperCase() + t.slice(1);
  return make("div", { class: verdict.good ? "verdict good" : "verdict", role: "status" },
    make("div", { class: "mark" }, verdict.good ? "✓ Good" : "▲ Not yet"),
    make("div", { class: "what" }, make("p", {}, inUnit(`${upper(what)}.`)), cure ? make("p", { class: "cure" }, inUnit(`${upper(cure)}.`)) : null,
      odds ? make("p", { class: "odds" }, odds) : null), act || null);
}
