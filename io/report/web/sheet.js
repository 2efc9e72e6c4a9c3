// The set-up sheet: one page for whoever stands at the machine.

const kKinds = { edge: "edge", pocket: "pocket", cut_out: "cut-out", program: "program", turn: "turn over" };

function tick() { return make("span", { class: "tick", "aria-hidden": "true" }); }
function blank() { return make("span", { class: "blank" }); }

// A bit's outline, cutting part only, with what the caliper reads of it; of a shortened point, dashed, the point it had.
function drawBit(bit) {
  const r = bit.cutting_diameter / 2, works = bit.working_depth || 0;
  let top = 0;
  for (const p of bit.chain) top = Math.max(top, p[2], p[4]);
  const shown = Math.min(top, Math.max(2.2 * r, works * 2));
  const middle = 74, tip = 132, scale = 90 / Math.max(2 * r, shown), X = (x) => middle + x * scale, Y = (h) => tip - h * scale;
  const root = svg("svg", { class: "bit", viewBox: "0 0 220 176", role: "img", "aria-label": `outline of bit ${bit.id}` });
  const thin = { stroke: "var(--muted)", "stroke-width": 1, fill: "none" };
  const said = (x, y, text, more = {}) => { const t = label(x, y, "", { "font-size": 12.5, "stroke-width": 0, ...more }); live(t, text); root.append(t); };
  root.append(svg("path", { d: `M${middle} ${Y(shown) - 4}V${tip + 6}`, ...thin, "stroke-dasharray": "8 3 2 3" }));
  for (const way of [1, -1])
    root.append(svg("path", { d: piecesPath(bit.chain, X, Y, scale), fill: "none", stroke: "var(--ink)", "stroke-width": 2,
      transform: way < 0 ? `translate(${2 * middle} 0) scale(-1 1)` : "" }));
  const R = bit.radius || 0, rest = R - works, flat = bit.tip_flat / 2;
  let low = tip;
  if (works && rest > 0.02 * R && Math.abs(flat - (R - Math.sqrt(R * R - rest * rest))) < 0.01 * R) {
    low = Y(-rest);
    const arc = `A${R * scale} ${R * scale} 0 0 0 ${X(0)} ${low}`;
    root.append(svg("path", { d: `M${X(flat)} ${tip}${arc}M${X(-flat)} ${tip}${arc.replace("0 0 0", "0 0 1")}`, ...thin, "stroke-dasharray": "3 3" }));
  }
  const up = Y(shown) - 10;
  root.append(svg("path", { d: `M${X(-r)} ${up - 5}v10M${X(r)} ${up - 5}v10M${X(-r)} ${up}H${X(r)}`, ...thin }));
  said(middle, up - 7, () => length(bit.cutting_diameter), { "text-anchor": "middle" });
  if (works) {
    const x = X(r) + 14;
    root.append(svg("path", { d: `M${X(flat) + 3} ${tip}H${x + 5}M${X(r) + 3} ${Y(works)}H${x + 5}M${x} ${tip}V${Y(works)}`, ...thin }));
    said(x + 7, (tip + Y(works)) / 2 + 4, () => length(works));
  }
  if (bit.tip_flat > 0 && bit.tip_flat < bit.cutting_diameter - 1e-6) {
    root.append(svg("path", { d: `M${middle} ${low + 3}V${low + 16}`, ...thin }));
    said(middle, low + 28, () => `flat ${length(bit.tip_flat)}`, { "text-anchor": "middle" });
  }
  return root;
}

function bitFacts(bit) {
  const facts = [["form", () => bit.form.replaceAll("_", " ")], ["cutting diameter", () => length(bit.cutting_diameter)]];
  if (bit.radius) facts.push(["radius", () => length(bit.radius)]);
  if (bit.working_depth) facts.push(["works", () => `${length(bit.working_depth)} deep`]);
  if (bit.tip_flat > 0 && bit.tip_flat < bit.cutting_diameter - 1e-6) facts.push(["tip flat", () => `${length(bit.tip_flat)} across`]);
  facts.push(["flutes", () => String(bit.flutes)]);
  if (bit.cutting_length) facts.push(["cutting length", () => length(bit.cutting_length, 1)]);
  if (bit.shank_diameter) facts.push(["shank", () => length(bit.shank_diameter, 2)]);
  if (bit.max_spindle) facts.push(["marked up to", () => `${bit.max_spindle} rpm`]);
  return facts;
}

const kReadingNames = { working_depth: "working depth", tip_flat: "tip flat, across", cutting_diameter: "cutting diameter" };

function bitCard(bit) {
  const dl = make("dl", { class: "facts" });
  for (const [name, text] of bitFacts(bit)) dl.append(make("dt", {}, name), live(make("dd"), text));
  for (const r of bit.readings)
    dl.append(make("dt", {}, `read: ${kReadingNames[r.what] || r.what}`), live(make("dd", { class: "reading" }), () => `${length(r.value)} ± ${length(r.error)}${r.date ? `, ${r.date}` : ""}`));
  return make("div", { class: "card bar" }, make("div", {}, make("h3", {}, `Bit ${bit.id}`), dl), drawBit(bit));
}

function chipLoad(op, bit) {
  return op.feed && op.spindle ? op.feed / op.spindle / bit.flutes : null;
}

// What stands in a column to be ticked off: a box, but for what is not to be run as it is.
function tickCell(run) {
  return make("td", {}, run ? tick() : make("b", { title: "not to be run like this" }, "✕"));
}

// ticks: a column to tick off in. bad: of each operation that is not to be run as it is, by its name, the setting to use, null where
// none is known.
function operationsTable(settings, ticks, bad = new Map()) {
  const body = make("tbody");
  settings.operations.forEach((op, i) => {
    const bit = settings.bits.find((b) => b.id === op.bit);
    const row = make("tr", {}, ticks ? tickCell(!bad.has(op.name)) : "", make("th", { scope: "row" }, `${i + 1}. ${op.name}`), make("td", {}, kKinds[op.kind]), make("td", {}, op.bit));
    const cell = (text) => row.append(live(make("td", { class: "n" }), text));
    if (op.turn) {
      row.append(make("td", { colspan: 6 }, `Turn the sheet over about its ${op.turn.about === "x" ? "front or back" : "left or right"} side and lay it into the same corner. ` +
        "Zero Z on the face that is up now; depths below are from it."));
      body.append(row);
      return;
    }
    const program = op.kind === "program", use = bad.get(op.name);
    const set = (now, better) => (!bad.has(op.name) ? length(now) : use ? `${length(better)}, not ${length(now)}` : `not ${length(now)}`);
    cell(() => (program && !(op.depth > 0) ? "as written" : set(op.depth, use && use.depth)));
    cell(() => (op.kind === "edge" || (program && op.depth > 0) ? set(op.offset, use && use.offset) : ""));
    cell(() => (program ? "as written" : bad.has(op.name) ? "by the new sheet" : `${op.passes.map((p) => length(p, 2).replace(/ .*/, "")).join(", ")} ${unit.name}`));
    cell(() => (program ? "as written" : feed(op.feed)));
    cell(() => (op.spindle ? `${Math.round(op.spindle)} rpm` : ""));
    cell(() => (bit && chipLoad(op, bit) ? length(chipLoad(op, bit)) : ""));
    body.append(row);
  });
  const head = make("tr", {});
  const names = ["done", "Operation", "Kind", "Bit", "Depth", "Offset (axis off the line)", "Passes to", "Feed", "Spindle", "Chip a tooth"];
  if (!ticks) names.shift();
  names.forEach((t, i) => head.append(make("th", { scope: "col", class: i > (ticks ? 3 : 2) ? "n" : "" }, t)));
  return stacked(make("table", { class: "wide" }, make("thead", {}, head), body));
}

// At the head of a sheet that nobody should run by. cure: what to set, null where no one setting is known.
function notYet(report, cure) {
  const what = make("div", { class: "what" });
  what.append(make("p", {}, inUnit(`Predicted: ${report.verdict.text}.`.replace(/; .*/s, cure ? "." : "$&"))));
  if (cure) what.append(make("p", { class: "cure" }, `${cure}.`));
  what.append(make("p", {}, "Change the scene, run it again and print the sheet of that run. What is marked ✕ here is not to be run as it stands."));
  const box = document.createDocumentFragment();
  box.append(make("span", { class: "mark" }, "✕ Do not run this yet"), what);
  return box;
}

function setUpSheet(data) {
  const { report, walk } = data, settings = walk.settings;
  const bad = new Map();
  report.edges.forEach((edge, i) => {
    if (!edge.verdict.good) bad.set(edge.operation, settingToUse(edge, data.windows[i]));
  });
  const better = () => (report.edges.length === 1 ? cureOf(report.edges[0], data.windows[0]) : null);
  const today = make("span", { class: "blank" });
  const used = settings.bits.filter((b) => settings.operations.some((op) => op.bit === b.id));
  const bits = make("div", { class: "grid" }, ...used.map((b) => make("div", { class: used.length > 1 ? "c6" : "c12" }, bitCard(b))));
  const stock = live(make("p"), () => `Sheet ${length(settings.size[0], 1)} × ${length(settings.size[1], 1)}, ${length(settings.thickness, 2)} thick: ` +
    settings.layers.map((l) => `${l.name} ${length(l.thickness, 2)}`).join(", ") + ", from the top face down. The lower left corner is x 0, y 0.");

  const checks = make("tbody");
  const check = (what, tool, predicted, limit) =>
    checks.append(make("tr", {}, tickCell(!bad.size), make("th", { scope: "row" }, what), make("td", {}, tool),
      live(make("td", { class: "n" }), predicted), live(make("td", { class: "n" }), limit), make("td", {}, blank())));
  report.edges.forEach((edge, i) => {
    const w = walk.walk[i], s = w.shown === null ? null : stationsOf(w)[w.shown];
    if (!s) return;
    const name = report.edges.length > 1 ? `${edge.operation}: ` : "";
    check(`${name}lip at the face`, "fingernail across the face, then a depth gauge", () => length(s.lip), () => `≤ ${length(settings.wishes.lip)}`);
    check(`${name}flat band at the foot`, "loupe with a scale, light from the side", () => length(s.band), () => `≤ ${length(settings.wishes.band)}`);
    const o = s.other;
    if (o && o.lip !== undefined) {
      check(`${name}lip at the other face`, "fingernail across that face, then a depth gauge", () => length(o.lip), () => `≤ ${length(settings.wishes.lip)}`);
      if (o.foot_depth !== null) check(`${name}foot from the other face`, "caliper's depth rod, or a height gauge", () => length(o.foot_depth, 2), () => "± " + length(0.05, 2));
    }
    if (o && o.wall_left > 0.0005) check(`${name}wall left between the curves`, "caliper's jaws", () => length(o.wall_left, 2), () => "± " + length(0.1, 2));
    if (s.foot_depth !== null) check(`${name}foot below the face`, "caliper's depth rod, or a height gauge", () => length(s.foot_depth, 2), () => "± " + length(0.05, 2));
    check(`${name}width of the round on the face`, "caliper, from the wall", () => length(s.round_width, 2), () => "± " + length(0.1, 2));
    settings.wishes.hidden.forEach((layer) =>
      check(`${name}${layer} hidden`, "eye", () => length(s.exposure[settings.layers.findIndex((l) => l.name === layer)] || 0, 2), () => "none"));
  });
  const rooms = make("ul", { class: "plain" });
  report.edges.forEach((edge, i) => {
    const dial = data.windows[i] && data.windows[i].dial;
    if (!dial || dial.depth === undefined) return;
    if (dial.set_aside.length) {
      rooms.append(live(make("li"), () => inUnit(`${edge.operation}: no setting meets every wish. Any one of these would do: ${dial.cures.join("; ")}.`)));
      return;
    }
    rooms.append(live(make("li"), () => `${edge.operation}: ${edge.program ? "the program should cut at" : "the setting to use is"} depth ${length(dial.depth)}, offset ${length(dial.offset)} ` +
      `(room: ${length(dial.deeper.room, 2)} deeper, ${length(dial.shallower.room, 2)} shallower, ${length(dial.outward.room, 2)} out, ${length(dial.inward.room, 2)} in).`));
  });
  const order = make("ol", {},
    make("li", {}, tick(), " Read the bit with caliper and loupe (working depth, tip flat, cutting diameter). Do the figures above agree? If not, put the new ones into the scene and run it again."),
    make("li", {}, tick(), " Hold the sheet down flat; measure its thickness at 8 places: ", blank(), " to ", blank()),
    make("li", {}, tick(), settings.errors.zero_on === "face"
      ? " Zero Z on the top face, at the edge that is to be rounded. Depths below are from that face."
      : live(make("span"), () => ` Zero Z on the spoilboard. Depths below are from the top face: the program must add the sheet's thickness, ${length(settings.thickness, 2)} here; measure it, every ${length(0.1, 2)} of difference is as much lip or break.`)),
    make("li", {}, tick(), bad.size ? " Run the scene with the new setting, print its sheet, and cut by that one." : " Cut the first part, or scrap of the same sheet, and check it with the table below before the batch runs."),
    make("li", {}, tick(), " After each bit change, zero Z again the same way."));
  const cautions = make("p", { class: "quiet" }, report.cautions.slice(0, 3).join(" "));
  return make("section", { class: "sheet", id: "set-up-sheet", "aria-label": "Set-up sheet" },
    make("div", { class: "bar" }, make("h2", {}, `Set-up sheet: ${report.scene.title}`),
      make("span", {}, "date ", today, "  by ", blank())),
    bad.size ? remade(make("div", { class: "verdict" }), () => notYet(report, better()))
      : make("p", {}, `Predicted: ${report.edges.length > 1 ? "every" : "the"} edge is within every wish.`),
    stock, bits, make("h3", {}, "Before the first cut"), order,
    make("h3", {}, "Operations, in this order"), scrolling("operations", operationsTable(settings, true, bad)), rooms.children.length ? rooms : null,
    make("h3", {}, "Check on the first parts"),
    scrolling("checks", stacked(make("table", {}, make("thead", {}, make("tr", {},
      ...["ok", "What", "With", "Predicted", "Allowed", "Measured"].map((t, i) => make("th", { scope: "col", class: i === 3 || i === 4 ? "n" : "" }, t)))), checks))),
    cautions);
}
