// Depth against offset: which settings are within the wishes, and which wish breaks where.

const kWindowNames = { l: "lip", b: "flat band", f: "break at the face", w: "break at the wall", h: "hidden layer shows", o: "short of the line", n: "no cut" };
// Apart in lightness for every kind of colour vision, with lines between them; page.css has them for light and dark.
const kWindowFills = { ".": "var(--map-good)", l: "var(--map-lip)", b: "var(--map-band)", f: "var(--map-face)", w: "var(--map-wall)",
  h: "var(--map-hidden)", o: "var(--map-short)", n: "var(--map-none)" };

// Where a region's name fits into it, nearest its middle, as [column, row]; null where it does not. size: half the
// name's width and height in columns and rows.
function nameSpot(rows, letter, size, free) {
  let best = null, least = Infinity;
  const up = Math.ceil(size.up), need = 2 * size.half + 1;
  for (let k = up; k + up < rows.length; k++)
    for (let i = 0; i < rows[k].length;) {
      let end = i;
      while (end < rows[k].length && rows[k][end] === letter) end++;
      if (end - i >= need) {
        const lo = i + size.half, hi = end - 1 - size.half;
        for (const column of [Math.min(hi, Math.max(lo, size.middle[0])), lo, hi, (lo + hi) / 2]) {
          const from = Math.max(0, Math.floor(column - size.half)), to = Math.ceil(column + size.half) + 1;
          const off = Math.abs(column - size.middle[0]) + 1.5 * Math.abs(k - size.middle[1]);
          if (off >= least) continue;
          let inside = true;
          for (let r = k - up; r <= k + up && inside; r++)
            for (let c = from; c < to && c < rows[r].length; c++) if (rows[r][c] !== letter) { inside = false; break; }
          if (inside && free(column, k)) { best = [column, k]; least = off; }
        }
      }
      i = Math.max(end, i + 1);
    }
  return best;
}

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
      s.high = Math.min(s.high ?? k, k);
      s.n += end - i; s.y += (end - i) * k; s.x += (end - i) * (i + end - 1) / 2;
      if (end - i > s.longest) { s.longest = end - i; s.at = [(i + end - 1) / 2, k]; }
      i = end;
    }
  });
  let lines = "";
  for (let k = 0; k < rows; k++)
    for (let i = 0; i < columns; i++) {
      const x = left + (i - 0.5) * cw, y = top + (k - 0.5) * ch;
      if (k > 0 && map.rows[k][i] !== map.rows[k - 1][i]) lines += `M${x} ${y}h${cw}`;
      if (i > 0 && map.rows[k][i] !== map.rows[k][i - 1]) lines += `M${x} ${y}v${ch}`;
    }
  cells.append(svg("path", { d: lines, stroke: "var(--map-line)", "stroke-width": 1.5, fill: "none" }));
  root.append(cells, svg("rect", { x: left, y: top, width: right - left, height: bottom - top, fill: "none", stroke: "var(--face)" }));
  const dial = map.dial && map.dial.depth !== undefined ? map.dial : map.cure || null;
  // Names keep clear of the marks for the setting there is and the one to use, and of one another.
  const placed = [{ x: X(now.offset), y: Y(now.depth) + 5, half: 17 }];
  if (dial) placed.push({ x: X(dial.offset), y: Y(dial.depth) + 5, half: 11 });
  const free = (x, y, half) => !placed.some((p) => Math.abs(p.x - x) < p.half + half + 4 && Math.abs(p.y - y) < 20);
  const unnamed = [];
  for (const letter of Object.keys(sums).sort((a, b) => (b === ".") - (a === ".") || sums[b].n - sums[a].n)) {
    const s = sums[letter], good = letter === ".", text = good ? "within every wish" : kWindowNames[letter], half = text.length * 4.4;
    const spot = nameSpot(map.rows, letter, { half: half / cw, up: 10 / ch, middle: [s.x / s.n, s.y / s.n] },
      (column, row) => free(left + column * cw, top + row * ch + 5, half));
    if (spot) {
      const x = left + spot[0] * cw, y = top + spot[1] * ch + 5;
      placed.push({ x, y, half });
      root.append(svg("text", { x, y, "text-anchor": "middle", "font-size": 15, "font-weight": good ? 700 : 400,
        style: good ? "fill:var(--map-on-good)" : "fill:var(--map-ink)" }, text));
      continue;
    }
    if (!good) { unnamed.push(letter); continue; }
    // Too small for its name: it stands below or above, tied to it.
    const px = left + s.at[0] * cw, py = top + s.at[1] * ch, x = Math.min(right - half - 4, Math.max(left + half + 4, px));
    const y = [1, -1].flatMap((way) => [34, 54, 74].map((d) => (way > 0 ? top + (s.low + .5) * ch + d : top + (s.high - .5) * ch - d + 12)))
      .find((v) => v > top + 16 && v < bottom - 6 && free(x, v, half)) ?? bottom - 10;
    placed.push({ x, y, half });
    root.append(svg("path", { d: `M${px} ${py}V${y > py ? y - 16 : y + 5}`, stroke: "var(--map-ink)", "stroke-width": 1.5 }),
      svg("text", { x, y, "text-anchor": "middle", "font-size": 15, "font-weight": 700, "paint-order": "stroke", stroke: "var(--map-line)", "stroke-width": 4,
        style: "fill:var(--good)" }, text));
  }
  if (!sums["."])
    root.append(svg("text", { x: (left + right) / 2, y: bottom - 10, "text-anchor": "middle", "font-size": 15, "font-weight": 700, "paint-order": "stroke",
      stroke: "var(--map-line)", "stroke-width": 4, style: "fill:var(--orange)" }, "no setting here is within every wish"));
  if (dial) {
    // How far the errors of setting and reading spread: two standard deviations.
    if (dial.offset_sigma !== undefined) root.append(svg("g", { "clip-path": "url(#window-frame)" }, svg("ellipse", { cx: X(dial.offset), cy: Y(dial.depth),
      rx: 2 * dial.offset_sigma * (right - left) / (o1 - o0), ry: 2 * dial.depth_sigma * (bottom - top) / (d1 - d0),
      fill: "none", stroke: "var(--map-ink)", "stroke-width": 1.5, "stroke-dasharray": "5 4" })));
    root.append(svg("path", { d: `M${X(dial.offset)} ${Y(dial.depth) - 10}l10 10l-10 10l-10 -10z`, fill: "var(--map-ink)", stroke: "var(--map-line)", "stroke-width": 2 }));
  }
  const x = X(now.offset), y = Y(now.depth);
  root.append(svg("path", { d: `M${x - 16} ${y}h32M${x} ${y - 16}v32`, stroke: "var(--map-line)", "stroke-width": 5 }));
  root.append(svg("path", { d: `M${x - 15} ${y}h30M${x} ${y - 15}v30`, stroke: "var(--map-ink)", "stroke-width": 2.2 }), svg("circle", { cx: x, cy: y, r: 6, fill: "var(--map-line)", stroke: "var(--map-ink)", "stroke-width": 2.2 }));
  for (const part of [0, .5, 1]) {
    const o = o0 + (o1 - o0) * part, d = d0 + (d1 - d0) * part;
    root.append(label(X(o), bottom + 20, length(o, 2), { "text-anchor": part === 0 ? "start" : part === 1 ? "end" : "middle", "font-size": 15 }));
    root.append(label(left - 8, Y(d) + (part === 0 ? 10 : part === 1 ? 0 : 5), length(d, 2), { "text-anchor": "end", "font-size": 15 }));
  }
  // Regions too small for their names.
  unnamed.forEach((letter, i) => {
    const x = left + 178 * (i % 3), y = bottom + 64 + 20 * Math.floor(i / 3);
    root.append(svg("rect", { x, y: y - 11, width: 16, height: 13, fill: kWindowFills[letter], stroke: "var(--face)" }), label(x + 22, y, kWindowNames[letter], { "font-size": 15 }));
  });
  root.setAttribute("viewBox", `0 0 ${W} ${H + 20 * Math.ceil(unnamed.length / 3)}`);
  root.append(label((left + right) / 2, bottom + 42, "axis off the line", { "text-anchor": "middle", "font-size": 15 }));
  root.append(label(left - 8, (top + bottom) / 2 + 26, "depth", { "text-anchor": "end", "font-size": 15 }));
  root.onclick = onPick && ((event) => {
    const box = root.getBoundingClientRect();
    const px = (event.clientX - box.left) * W / box.width, py = (event.clientY - box.top) * H / box.height;
    if (px < left || px > right || py < top || py > bottom) return;
    onPick(d0 + (d1 - d0) * (py - top) / (bottom - top), o0 + (o1 - o0) * (px - left) / (right - left));
  });
}

const percent = (chance) => (chance < 0.001 ? "under 0.1 %" : chance > 0.999 ? "over 99.9 %" : `${trimmed(100 * chance, 1)} %`);

// The setting to use for an edge that is not good, { depth, offset }, and its `chance` where that is known; null where none is known.
function settingToUse(edge, map) {
  if (edge.verdict.good || !map || map.none) return null;
  const dial = map.dial;
  if (!dial) return map.cure || null;
  return map.works === false || dial.depth === undefined || dial.set_aside.length || dial.chance < 0.5 ? null : dial;
}

// What to change on an edge that is not good, where the window knows the setting to use; null elsewhere.
function cureOf(edge, map) {
  const dial = settingToUse(edge, map);
  if (!dial) return null;
  const parts = [], change = (from, to) => `from ${length(from).replace(/ .*/, "")} to ${length(to)}`;
  if (edge.program)
    return `Have the program cut at depth ${length(dial.depth)} (now ${length(edge.depth_mm)}) and offset ${length(dial.offset)} of its path off the line (now ${length(edge.offset_mm)})`;
  if (Math.abs(dial.depth - edge.depth_mm) > 5e-4) parts.push(`depth ${change(edge.depth_mm, dial.depth)}`);
  if (Math.abs(dial.offset - edge.offset_mm) > 5e-4) parts.push(`offset ${change(edge.offset_mm, dial.offset)}`);
  return parts.length ? `Set ${parts.join(" and ")}` : null;
}

// How sure an edge is with the usual errors, as it stands and with the setting to use.
function oddsOf(edge, map) {
  const dial = map && map.dial, known = dial && dial.depth !== undefined;
  const stands = `depth ${length(edge.depth_mm)}, offset ${length(edge.offset_mm)}`;
  if (!edge.verdict.good) {
    return cureOf(edge, map) && known ? `Then ${percent(dial.chance)} of edges come out within every wish with your usual errors; as it stands ${percent(dial.chance_now)}.`
      : `As it stands: ${stands}.`;
  }
  if (!known) return "Nothing to change.";
  const sure = dial.chance_now >= 0.9;
  let text = sure ? `Nothing to change. With your usual errors ${percent(dial.chance_now)} of edges come out so`
    : `But only where all is just as told: with your usual errors ${percent(dial.chance_now)} of edges come out so`;
  if (dial.chance - dial.chance_now >= 0.01)
    text += `; with depth ${length(dial.depth)} and offset ${length(dial.offset)} it would be ${percent(dial.chance)}`;
  const reading = dial.chance_better_readings >= dial.chance_better_zero;
  const closer = reading ? dial.chance_better_readings : dial.chance_better_zero;
  if (!sure && closer > Math.max(dial.chance, dial.chance_now) + 0.05)
    text += `. Three times as close ${reading ? "a reading of the bit" : "a zero in Z"} would make it ${percent(closer)}`;
  return `${text}.`;
}

// The window of a report's edge: the drawing, and what to set with the room around it.
function windowParts(map, edge) {
  const now = { depth: edge.depth_mm, offset: edge.offset_mm };
  const root = svg("svg", { class: "drawing", role: "img", "aria-label": "depth against offset: where every wish is met, and which wish breaks elsewhere" });
  const draw = () => drawWindow(root, map, now, null);
  unit.listeners.push(draw);
  draw();
  const dial = map.dial && map.dial.depth !== undefined ? map.dial : null;
  const legend = make("figcaption", {}, !dial && map.cure ? "⊕ as the scene has it; ◆ the setting to use." : dial ? "⊕ as the scene has it; ◆ the setting to use, with the spread of the usual errors (two standard deviations)." : "⊕ as the scene has it.");
  const text = make("div", {});
  if (dial) {
    const aside = dial.set_aside.join(" and ");
    if (aside)
      text.append(live(make("p", { class: "over" }), () => inUnit(`No setting meets every wish. Any one of these would do: ${dial.cures.join("; ")}.`)));
    text.append(live(make("p", { class: "cure" }), () => `${aside ? `Leaving ${aside} aside: ` : ""}${edge.program ? "aim the program at depth" : "set depth to"} ${length(dial.depth)} and offset ${edge.program ? "" : "to "}${length(dial.offset)}${edge.program ? " (of its path off the line)" : ""}.`.replace(/^./, (c) => c.toUpperCase())),
      make("p", {}, `Chance of an edge within every wish: ${percent(dial.chance)}; as the scene has it: ${percent(dial.chance_now)}.`));
    if (aside) return { figure: make("figure", {}, root, legend), text };  // there is no room
    const body = make("tbody");
    for (const [key, name] of [["deeper", "deeper"], ["shallower", "shallower"], ["outward", "offset larger (further out)"], ["inward", "offset smaller (further in)"]])
      body.append(make("tr", {}, make("th", { scope: "row" }, name), live(make("td", { class: "n" }), () => length(dial[key].room)), make("td", {}, dial[key].breaks || "-")));
    text.append(scrolling("room around the setting", make("table", {}, make("thead", {}, make("tr", {},
      make("th", { scope: "col" }, "Room from there"), make("th", { scope: "col", class: "n" }, "Before it breaks"), make("th", { scope: "col" }, "What breaks first"))), body)));
  } else if (map.cure) text.append(live(make("p", { class: "cure" }), () => `${cureOf(edge, map)}.`),
    make("p", {}, "With it the whole edge was measured again, and is within every wish."));
  else text.append(make("p", {}, map.dial && map.dial.unanswered ? map.dial.unanswered : edge.program
    ? "Depth and offset are the program's own; to change them, change the program."
    : edge.verdict.good ? "Nothing to change." : "The verdict tells what to change."));
  return { figure: make("figure", {}, root, legend), text };
}
