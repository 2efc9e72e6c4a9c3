// Depth against offset: which settings are within the wishes, and which wish breaks where.

const kWindowNames = { l: "lip", b: "flat band", f: "break at the face", w: "break at the wall", h: "hidden layer shows", n: "no cut" };
const kWindowFills = { ".": "var(--good)", l: "#b9c2cc", b: "#cfd6dd", f: "#a8b2bd", w: "#dde2e7", h: "#c4b9a6", n: "#eceef0" };

// map: the server's answer; now: { depth, offset }. onPick(depth, offset).
function drawWindow(root, map, now, onPick) {
  root.replaceChildren();
  const W = 620, H = 430, left = 84, right = W - 16, top = 14, bottom = H - 56;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  const columns = map.rows[0].length, rows = map.rows.length;
  const [o0, o1] = map.offset, [d0, d1] = map.depth;
  const X = (o) => left + (right - left) * (o - o0) / (o1 - o0), Y = (d) => top + (bottom - top) * (d - d0) / (d1 - d0);
  const cw = (right - left) / (columns - 1), ch = (bottom - top) / (rows - 1);
  const sums = {};
  root.append(svg("defs", {}, svg("clipPath", { id: "window-frame" }, svg("rect", { x: left, y: top, width: right - left, height: bottom - top }))));
  const cells = svg("g", { "clip-path": "url(#window-frame)", "shape-rendering": "crispEdges" });
  map.rows.forEach((row, k) => {
    for (let i = 0; i < columns;) {
      let end = i;
      while (end < columns && row[end] === row[i]) end++;
      const letter = row[i], x = left + (i - 0.5) * cw, y = top + (k - 0.5) * ch;
      cells.append(svg("rect", { x, y, width: (end - i) * cw + 0.4, height: ch + 0.4, fill: kWindowFills[letter] }));
      const s = sums[letter] || (sums[letter] = { n: 0, x: 0, y: 0, longest: 0 });
      s.low = k;
      s.n += end - i; s.y += (end - i) * k; s.x += (end - i) * (i + end - 1) / 2;
      if (end - i > s.longest) { s.longest = end - i; s.at = [(i + end - 1) / 2, k]; }
      i = end;
    }
  });
  root.append(cells, svg("rect", { x: left, y: top, width: right - left, height: bottom - top, fill: "none", stroke: "var(--face)" }));
  const placed = [];
  for (const [letter, s] of Object.entries(sums)) {
    if (s.n < 40 && letter !== ".") continue;
    let col = Math.round(s.x / s.n), row = Math.round(s.y / s.n);
    if (map.rows[row][col] !== letter) [col, row] = [Math.round(s.at[0]), s.at[1]];
    const text = letter === "." ? "within every wish" : kWindowNames[letter], half = text.length * 4.4;
    const x = Math.min(right - half - 4, Math.max(left + half + 4, left + col * cw));
    let y = Math.min(bottom - 6, Math.max(top + 16, top + row * ch + 5));
    for (let guard = 0; guard < 8 && placed.some((p) => Math.abs(p.x - x) < p.half + half && Math.abs(p.y - y) < 19); guard++) y += y < (top + bottom) / 2 ? 19 : -19;
    placed.push({ x, y, half });
    if (letter === "." && s.longest * cw < 2 * half + 8) {
      // Too small for its name: it stands below, tied to it.
      const px = left + s.at[0] * cw, py = top + (s.low + .5) * ch - 4, ly = Math.min(bottom - 10, py + 34);
      root.append(svg("path", { d: `M${px} ${py + 4}V${ly - 16}`, stroke: "#1b1f24", "stroke-width": 1.5 }),
        svg("text", { x, y: ly, "text-anchor": "middle", "font-size": 15, "font-weight": 700, "paint-order": "stroke", stroke: "#fff", "stroke-width": 4,
          style: "fill:#0b5238" }, text));
      continue;
    }
    root.append(svg("text", { x, y, "text-anchor": "middle", "font-size": 15, "font-weight": letter === "." ? 700 : 400,
      style: letter === "." ? "fill:var(--ground)" : "fill:#1b1f24" }, text));
  }
  if (!sums["."])
    root.append(svg("text", { x: (left + right) / 2, y: bottom - 10, "text-anchor": "middle", "font-size": 15, "font-weight": 700, "paint-order": "stroke",
      stroke: "#fff", "stroke-width": 4, style: "fill:#8a3800" }, "no setting here is within every wish"));
  const dial = map.dial && map.dial.depth !== undefined ? map.dial : null;
  if (dial) {
    // How far the errors of setting and reading spread: two standard deviations.
    root.append(svg("g", { "clip-path": "url(#window-frame)" }, svg("ellipse", { cx: X(dial.offset), cy: Y(dial.depth),
      rx: 2 * dial.offset_sigma * (right - left) / (o1 - o0), ry: 2 * dial.depth_sigma * (bottom - top) / (d1 - d0),
      fill: "none", stroke: "#1b1f24", "stroke-width": 1.5, "stroke-dasharray": "5 4" })));
    root.append(svg("path", { d: `M${X(dial.offset)} ${Y(dial.depth) - 10}l10 10l-10 10l-10 -10z`, fill: "#1b1f24", stroke: "#fff", "stroke-width": 2 }));
  }
  const x = X(now.offset), y = Y(now.depth);
  root.append(svg("path", { d: `M${x - 16} ${y}h32M${x} ${y - 16}v32`, stroke: "#fff", "stroke-width": 5 }));
  root.append(svg("path", { d: `M${x - 15} ${y}h30M${x} ${y - 15}v30`, stroke: "#1b1f24", "stroke-width": 2.2 }), svg("circle", { cx: x, cy: y, r: 6, fill: "#fff", stroke: "#1b1f24", "stroke-width": 2.2 }));
  for (const part of [0, .5, 1]) {
    const o = o0 + (o1 - o0) * part, d = d0 + (d1 - d0) * part;
    root.append(label(X(o), bottom + 20, length(o, 2), { "text-anchor": part === 0 ? "start" : part === 1 ? "end" : "middle", "font-size": 13 }));
    root.append(label(left - 8, Y(d) + (part === 0 ? 10 : part === 1 ? 0 : 5), length(d, 2), { "text-anchor": "end", "font-size": 13 }));
  }
  root.append(label((left + right) / 2, bottom + 42, "axis off the line", { "text-anchor": "middle", "font-size": 14 }));
  root.append(label(left - 8, (top + bottom) / 2 + 26, "depth", { "text-anchor": "end", "font-size": 14 }));
  root.onclick = onPick && ((event) => {
    const box = root.getBoundingClientRect();
    const px = (event.clientX - box.left) * W / box.width, py = (event.clientY - box.top) * H / box.height;
    if (px < left || px > right || py < top || py > bottom) return;
    onPick(d0 + (d1 - d0) * (py - top) / (bottom - top), o0 + (o1 - o0) * (px - left) / (right - left));
  });
}

const percent = (chance) => (chance < 0.001 ? "under 0.1 %" : chance > 0.999 ? "over 99.9 %" : `${trimmed(100 * chance, 1)} %`);

// The window of a report's edge: the drawing, and what to set with the room around it.
function windowParts(map, edge) {
  const now = { depth: edge.depth_mm, offset: edge.offset_mm };
  const root = svg("svg", { class: "drawing", role: "img", "aria-label": "depth against offset: where every wish is met, and which wish breaks elsewhere" });
  const draw = () => drawWindow(root, map, now, null);
  unit.listeners.push(draw);
  draw();
  const dial = map.dial && map.dial.depth !== undefined ? map.dial : null;
  const legend = make("figcaption", {}, dial ? "⊕ as the scene has it; ◆ the setting to use, with the spread of the usual errors (two standard deviations)." : "⊕ as the scene has it.");
  const text = make("div", {});
  if (dial) {
    text.append(live(make("p", { class: "cure" }), () => `Set depth to ${length(dial.depth)} and the axis ${length(dial.offset)} off the line.`),
      make("p", {}, `Chance of an edge within every wish: ${percent(dial.chance)}; as the scene has it: ${percent(dial.chance_now)}.`));
    if (dial.set_aside.length)
      text.append(make("p", { class: "over" }, `No setting meets every wish: set aside ${dial.set_aside.join(", ")}. ${dial.cures.join("; ")}`));
    const body = make("tbody");
    for (const [key, name] of [["deeper", "deeper"], ["shallower", "shallower"], ["outward", "axis further out"], ["inward", "axis further in"]])
      body.append(make("tr", {}, make("th", { scope: "row" }, name), live(make("td", { class: "n" }), () => length(dial[key].room)), make("td", {}, dial[key].breaks || "-")));
    text.append(make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "room around the setting" }, make("table", {}, make("thead", {}, make("tr", {},
      make("th", { scope: "col" }, "Room from there"), make("th", { scope: "col", class: "n" }, "Before it breaks"), make("th", { scope: "col" }, "What breaks first"))), body)));
  } else text.append(make("p", {}, map.dial && map.dial.unanswered ? map.dial.unanswered : edge.program
    ? "Depth and axis are the program's own; to change them, change the program."
    : "`ovolo dial` finds the setting to use."));
  return { figure: make("figure", {}, root, legend), text };
}
