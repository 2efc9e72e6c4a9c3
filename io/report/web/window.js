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
      const px = left + s.at[0] * cw, py = top + s.at[1] * ch, ly = Math.min(bottom - 10, py + 44);
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
  root.onclick = (event) => {
    const box = root.getBoundingClientRect();
    const px = (event.clientX - box.left) * W / box.width, py = (event.clientY - box.top) * H / box.height;
    if (px < left || px > right || py < top || py > bottom) return;
    onPick(d0 + (d1 - d0) * (py - top) / (bottom - top), o0 + (o1 - o0) * (px - left) / (right - left));
  };
}
