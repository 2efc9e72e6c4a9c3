// The section to scale: layers, what was cut, the wanted form dashed, lip, band and foot marked.

function layerTops(settings, turned) {
  let z = 0;
  return (turned ? [...settings.layers].reverse() : settings.layers).map((l) => { const top = z; z -= l.thickness; return { ...l, top, bottom: z }; });
}

// A folded section's pieces run all the way round the part from u's end below to its end above; others from the wall's
// foot inwards, with the wall below them.
function bodyPath(shown, X, Y, scale, right, bottom) {
  if (shown.folded) return sidesOf(shown).map((side) => `${piecesPath(side, X, Y, scale)}Z`).join("");
  return `M${X(0)} ${bottom}${piecesPath(shown.pieces, X, Y, scale, true)}L${right + 2000} ${Y(0)}V${bottom}Z`;
}
function cutPath(shown, X, Y, scale, bottom) {
  if (shown.across) return sidesOf(shown).map((side) => sidePath(side, joinedAtLine(shown), X, Y, scale)).join("");
  return shown.folded ? piecesPath(shown.pieces, X, Y, scale) : `M${X(0)} ${bottom}${piecesPath(shown.pieces, X, Y, scale, true)}`;
}
// A slot that does not go through has its other wall at u < 0; the two sides hang together along stretches of the line.
const sidesOf = (shown) => (shown.across ? [shown.pieces, shown.across] : [shown.pieces]);
const onLine = (p) => p[0] === 0 && p[1] === 0 && p[3] === 0;
function joinedAtLine(shown) {
  const walls = (pieces) => pieces.filter(onLine).map((p) => [Math.min(p[2], p[4]), Math.max(p[2], p[4])]);
  return walls(shown.pieces).flatMap(([a0, a1]) => walls(shown.across).map(([b0, b1]) => [Math.max(a0, b0), Math.min(a1, b1)]))
    .filter(([lo, hi]) => hi > lo).sort((a, b) => a[0] - b[0]);
}
function sidePath(pieces, joined, X, Y, scale) {
  let d = "", run = [];
  const endRun = () => { d += piecesPath(run, X, Y, scale); run = []; };
  for (const p of pieces) {
    if (!onLine(p)) { run.push(p); continue; }
    endRun();
    let z = Math.min(p[2], p[4]);
    const top = Math.max(p[2], p[4]);
    for (const [lo, hi] of joined) {
      if (hi <= z || lo >= top) continue;
      if (lo > z) d += `M${X(0)} ${Y(z)}V${Y(lo)}`;
      z = hi;
    }
    if (z < top) d += `M${X(0)} ${Y(z)}V${Y(top)}`;
  }
  endRun();
  return d;
}
function wantedPath(shown, X, Y, scale) {
  const curve = piecesPath(shown.wanted.curve, X, Y, scale), T = shown.settings.thickness;
  if (!shown.both) return curve;
  const below = shown.wanted.curve.map((p) => (p[0] === 0 ? [0, p[1], -T - p[2], p[3], -T - p[4]]
    : [1, p[1], -T - p[2], p[3], -T - p[4], p[5], -T - p[6], p[7], -p[8], -p[9]]));
  return curve + piecesPath(below, X, Y, scale);
}

// Draws into `root`, an svg element. shown: { pieces, station, wanted, settings, wishes }, and of a folded section
// { folded, both (the form works on both faces), turned (the lower face is on top), across (the other wall of a slot) }.
function drawSection(root, shown) {
  root.replaceChildren();
  const { station, wanted, settings } = shown;
  // On a narrow screen the small things go below, so that the letters stay readable.
  const narrow = root.clientWidth > 0 && root.clientWidth < 500;
  const W = narrow ? 520 : 780, H = narrow ? (station.lip > 0.0005 || station.band > 0.0005 ? 640 : 480) : 560;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  const deep = shown.folded ? settings.thickness : Math.min(settings.thickness, Math.max(wanted.depth, station.foot_depth || 0, shown.deepest || 0) * 1.22 + 0.4);
  const uMax = Math.max(wanted.width, station.round_width) * 1.28 + 0.6;
  const uMin = shown.across ? -uMax : 0;
  const scale = Math.min((narrow ? W - 200 : W - 355) / (uMax - uMin), ((narrow ? 460 : H) - 130) / deep);
  const left = 190, top = 66;
  const X = (u) => left + (u - uMin) * scale, Y = (z) => top - z * scale;
  const right = X(uMax), bottom = Y(-deep);

  const id = root.id || "section";
  const body = bodyPath(shown, X, Y, scale, right, bottom);
  root.append(svg("defs", {}, svg("clipPath", { id: `${id}-body` }, svg("path", { d: body })),
    svg("clipPath", { id: `${id}-frame` }, svg("rect", { x: shown.across ? left : 0, y: 0, width: right - (shown.across ? left : 0), height: bottom }))));

  const stock = svg("g", { "clip-path": `url(#${id}-frame)` });
  const inside = svg("g", { "clip-path": `url(#${id}-body)` });
  const names = [];
  for (const layer of layerTops(settings, shown.turned)) {
    const y0 = Y(layer.top), y1 = Math.min(bottom, Y(layer.bottom));
    if (y0 >= bottom) break;
    inside.append(svg("rect", { x: left, y: y0, width: right - left, height: y1 - y0, fill: layer.color }));
    if (layer.top < 0) inside.append(svg("path", { d: `M${left} ${y0}H${right}`, stroke: "#000", "stroke-opacity": .35 }));
    if (y1 - y0 > 22) names.push([y0, y1, layer.name, layer.thickness]);
  }
  stock.append(inside);
  stock.append(svg("path", { d: cutPath(shown, X, Y, scale, bottom), fill: "none", stroke: "var(--ink)",
    "stroke-width": 3, "stroke-linejoin": "round" }));
  root.append(stock);
  root.append(svg("path", { d: wantedPath(shown, X, Y, scale), fill: "none", stroke: "var(--blue)", "stroke-width": 2,
    "stroke-dasharray": "9 6" }));
  root.append(svg("path", { d: `M${right} ${top - 14}V${bottom + 8}${shown.across ? `M${left} ${top - 14}V${bottom + 8}` : ""}M${left - 10} ${bottom}H${right}`, stroke: "var(--face)",
    "stroke-dasharray": "3 4", fill: "none" }));
  // Beside the section, or within it on ground of their own: layers are of any colour.
  const told = names.map(([y0, y1, name, t]) => [y0, y1, `${name}, ${length(t, 2)}`]), wide = (text) => 8.3 * text.length;
  const beside = told.every(([, , text]) => right + 12 + wide(text) < W - 144);
  for (const [y0, y1, text] of told) {
    const width = wide(text) + 10;
    if (beside) {
      root.append(label(right + 12, (y0 + y1) / 2 + 5, text, { "font-size": 15 }));
      continue;
    }
    // Below the lip, where the material is too narrow beside it.
    const free = right - width - 10 < X(station.round_width) ? Math.max(y0, Y(-(station.lip || 0)) + 4) : y0;
    if (y1 - free < 22) continue;
    const y = (free + y1) / 2 + 5;
    root.append(svg("rect", { x: right - 4 - width, y: y - 15, width, height: 20, rx: 3, fill: "var(--ground)", "fill-opacity": .88 }),
      label(right - 9, y, text, { "text-anchor": "end", "font-size": 15, "stroke-width": 0 }));
  }

  const over = shown.wishes ? overWishes(station, shown.wishes, wanted) : {};
  const color = (key) => over[key] ? "var(--orange)" : "var(--ink)";
  const arrow = (d, c) => svg("path", { d, stroke: c, "stroke-width": 1.6, fill: "none" });
  const double = (x, y0, y1, c) => {
    const h = Math.min(6, Math.abs(y1 - y0) / 3);
    return arrow(`M${x} ${y0}V${y1}M${x - 3.5} ${y0 + h}L${x} ${y0}L${x + 3.5} ${y0 + h}M${x - 3.5} ${y1 - h}L${x} ${y1}L${x + 3.5} ${y1 - h}`, c);
  };
  // Foot: on the outside, where nothing else is.
  if (station.foot_depth) {
    const y1 = Y(-station.foot_depth);
    root.append(svg("path", { d: `M34 ${top}H${X(0)}M34 ${y1}H${X(0) - 4}`, stroke: "var(--face)", fill: "none", "stroke-dasharray": "2 3" }));
    root.append(double(44, top, y1, "var(--ink)"));
    root.append(label(54, (top + y1) / 2 - 3, "foot at", {}));
    root.append(label(54, (top + y1) / 2 + 18, length(station.foot_depth), { "font-weight": 700 }));
  }
  // Lip: above the face.
  const lipAt = { u: station.round_width, z: 0 };
  const lipText = station.lip === null ? "no face here" : station.lip > 0.00005 ? `lip ${length(station.lip)}` : "no lip";
  const lipX = X(lipAt.u);
  root.append(arrow(`M${lipX} ${top - 24}V${Y(lipAt.z) - 2}`, color("lip")));
  root.append(label(Math.min(lipX, narrow ? W - 190 : W - 240), top - 34, lipText, { fill: color("lip"), "font-weight": 700, "text-anchor": "middle" }));
  if (station.lip * scale > 12) root.append(double(lipX - 9, Y(0), Y(-station.lip), color("lip")));
  if (station.face_break > 0.05)
    root.append(label(Math.min(lipX, narrow ? W - 190 : W - 240) + 78, top - 34, !leavesArris(wanted) ? `break ${degrees(station.face_break)}` : `arris ${degrees(180 - station.face_break)}`, { fill: color("face_break"), "font-size": 16 }));
  // Band and wall break: below and left of the foot.
  const footY = Y(-(station.foot_depth ?? deep));
  const bandText = station.band === null ? "no foot here" : station.band > 0.00005 ? `band ${length(station.band)}` : "no flat band";
  root.append(arrow(`M${X(0) - 14} ${footY + 22}L${X((station.band || 0) / 2)} ${footY + 3}`, color("band")));
  root.append(label(X(0) - 18, footY + 32, bandText, { fill: color("band"), "font-weight": 700, "text-anchor": "end" }));
  root.append(label(X(0) - 18, footY + 53, `wall break ${degrees(station.wall_break)}`, { fill: color("wall_break"), "font-size": 16, "text-anchor": "end" }));

  // The small things, larger.
  const insets = [];
  if (station.lip > 0.0005 && station.lip * scale < 40)
    insets.push({ at: { u: lipAt.u, z: -station.lip / 2 }, size: station.lip, name: "at the face", x: W - 142, y: H - 330 });
  if (station.band > 0.0005 && station.band * scale < 40)
    insets.push({ at: { u: station.band / 2, z: -station.foot_depth }, size: station.band, name: "at the foot", x: W - 142, y: H - 160 });
  if (narrow) insets.forEach((inset, i) => { inset.x = left + 160 * i; inset.y = H - 190; });
  for (const [i, inset] of insets.entries()) drawInset(root, shown, inset, `${id}-inset${i}`, scale);

  const bar = roundLength(uMax / 4), x0 = narrow ? 24 : left, y0 = H - 26;
  root.append(svg("path", { d: `M${x0} ${y0 - 5}V${y0 + 5}M${x0} ${y0}H${x0 + bar.mm * scale}M${x0 + bar.mm * scale} ${y0 - 5}V${y0 + 5}`, stroke: "var(--ink)", "stroke-width": 2 }));
  root.append(label(x0 + bar.mm * scale + 8, y0 + 5, bar.text, { "font-size": 15 }));
  const key = Math.max(x0 + bar.mm * scale + 95, x0 + 150);
  root.append(svg("path", { d: `M${key} ${y0}h26`, stroke: "var(--ink)", "stroke-width": 3 }), label(key + 32, y0 + 5, "as cut", { "font-size": 15 }));
  root.append(svg("path", { d: `M${key + 95} ${y0}h26`, stroke: "var(--blue)", "stroke-width": 2, "stroke-dasharray": "9 6" }),
    label(key + 127, y0 + 5, "wanted", { "font-size": 15 }));
}

function drawInset(root, shown, inset, id, scale) {
  const size = 130, k = 46 / inset.size;
  const X = (u) => inset.x + size / 2 + (u - inset.at.u) * k, Y = (z) => inset.y + size / 2 - (z - inset.at.z) * k;
  const g = svg("g", { "clip-path": `url(#${id})` });
  root.append(svg("defs", {}, svg("clipPath", { id }, svg("rect", { x: inset.x, y: inset.y, width: size, height: size }))));
  g.append(svg("rect", { x: inset.x, y: inset.y, width: size, height: size, fill: "var(--ground)" }));
  const body = bodyPath(shown, X, Y, k, inset.x + 2 * size - 2000, inset.y + 2 * size);
  const clip = svg("clipPath", { id: `${id}-body` }, svg("path", { d: body }));
  root.append(svg("defs", {}, clip));
  const inside = svg("g", { "clip-path": `url(#${id}-body)` });
  for (const layer of layerTops(shown.settings, shown.turned))
    inside.append(svg("rect", { x: inset.x, y: Y(layer.top), width: size, height: (layer.top - layer.bottom) * k, fill: layer.color }));
  g.append(inside, svg("path", { d: cutPath(shown, X, Y, k, inset.y + 2 * size), fill: "none",
    stroke: "var(--ink)", "stroke-width": 3 }));
  g.append(svg("path", { d: wantedPath(shown, X, Y, k), fill: "none", stroke: "var(--blue)", "stroke-width": 2, "stroke-dasharray": "9 6" }));
  root.append(g, svg("rect", { x: inset.x, y: inset.y, width: size, height: size, fill: "none", stroke: "var(--face)" }));
  root.append(label(inset.x + size, inset.y - 7, `${inset.name}, ${Math.round(k / scale)} ×`, { "font-size": 15, "text-anchor": "end" }));
}
