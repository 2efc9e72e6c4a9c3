// Lip, band, breaks and what shows of each layer along the contour, with the wishes as lines.

function alongRows(walk, stations, settings) {
  const w = settings.wishes;
  const rows = [
    { name: "lip", value: (s) => s.lip, wish: w.lip, slack: 1e-6, text: length },
    { name: "flat band", value: (s) => s.band, wish: w.band, slack: 1e-6, text: length },
    { name: "wall break", value: (s) => s.wall_break, wish: w.wall_break + walk.wanted.wall_break, slack: 6e-5, text: degrees },
    leavesArris(walk.wanted)
      ? { name: "arris", least: true, value: (s) => (s.face_break === null ? null : 180 - s.face_break), wish: 180 - w.face_break - walk.wanted.face_break, slack: 6e-5, text: degrees }
      : { name: "face break", value: (s) => s.face_break, wish: w.face_break + walk.wanted.face_break, slack: 6e-5, text: degrees },
  ];
  settings.layers.forEach((l, i) => {
    const hidden = w.hidden.includes(l.name);
    if (hidden || stations.some((s) => s.exposure[i] > 0.0005))
      rows.push({ name: l.name, under: "showing", value: (s) => s.exposure[i], wish: hidden ? 0 : null, slack: 1e-3, text: length });
  });
  return rows;
}

function beyondWish(row, v) {
  return row.wish !== null && (row.least ? row.wish - v : v - row.wish) > row.slack;
}

// Returns { move(s) } that puts the cursor.
function drawAlong(root, walk, stations, settings, onPick) {
  const narrow = root.clientWidth > 0 && root.clientWidth < 500;
  const W = narrow ? 520 : 860, left = narrow ? 118 : 150, right = W - 142, rowHeight = 58, top = 14;
  const rows = alongRows(walk, stations, settings);
  const H = top + rows.length * rowHeight + 34;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  root.replaceChildren();
  const X = (s) => left + (right - left) * s / walk.length;
  const measured = stations.filter((s) => s.kind === 0);
  rows.forEach((row, k) => {
    const values = measured.map(row.value).filter((v) => v !== null && v !== undefined);
    const largest = values.length ? Math.max(...values) : null, least = values.length ? Math.min(...values) : null;
    const most = Math.max(1e-9, largest ?? 0, row.wish ? row.wish * 1.25 : 0);
    const y0 = top + (k + 1) * rowHeight - 12, height = rowHeight - 20;
    const Y = (v) => y0 - height * v / most;
    root.append(svg("path", { d: `M${left} ${y0}H${right}`, stroke: "var(--face)" }));
    root.append(label(left - 12, y0 - (row.under ? 22 : 14), fittedText(row.name, narrow ? 12 : 15), { "text-anchor": "end", "font-size": 15 }));
    if (row.under) root.append(label(left - 12, y0 - 4, row.under, { "text-anchor": "end", "font-size": 13, fill: "var(--muted)" }));
    // Beyond the wish in orange and thicker, so that it does not hang on colour alone.
    let inside = "", beyond = "", area = "", last = null;
    for (const s of stations) {
      const v = s.kind === 0 ? row.value(s) : null;
      if (v === null || v === undefined) { last = null; continue; }
      if (last !== null) {
        const d = `M${X(last.s)} ${Y(last.v)}L${X(s.s)} ${Y(v)}`;
        const over = beyondWish(row, v) || beyondWish(row, last.v);
        if (over) beyond += d; else inside += d;
        area += `M${X(last.s)} ${y0}L${X(last.s)} ${Y(last.v)}L${X(s.s)} ${Y(v)}V${y0}Z`;
      }
      last = { s: s.s, v };
    }
    if (area) root.append(svg("path", { d: area, fill: "var(--blue-soft)" }));
    if (row.wish !== null) root.append(svg("path", { d: `M${left} ${Y(row.wish)}H${right}`, stroke: "var(--blue)", "stroke-dasharray": "7 5", "stroke-width": 1.5 }));
    if (inside) root.append(svg("path", { d: inside, stroke: "var(--ink)", "stroke-width": 2, fill: "none" }));
    if (beyond) root.append(svg("path", { d: beyond, stroke: "var(--orange)", "stroke-width": 3.5, fill: "none" }));
    const worst = row.least ? least : largest, over = worst !== null && beyondWish(row, worst);
    const even = largest !== null && row.text(largest) === row.text(least);
    root.append(label(right + 10, y0 - height + 12, worst === null ? "not there" : `${even ? "" : row.least ? "≥ " : "≤ "}${row.text(worst)}`,
      { "font-size": 15, "font-weight": 700, fill: over ? "var(--orange)" : "var(--ink)" }));
    if (row.wish !== null)
      root.append(label(right + 10, y0 - 2, row.wish > 0 ? `wish ${row.text(row.wish)}` : "wish: none", { "font-size": 13, fill: "var(--blue)" }));
  });
  const axis = H - 22;
  for (const part of narrow ? [0, .5, 1] : [0, .25, .5, .75, 1])
    root.append(label(X(walk.length * part), axis + 14, length(walk.length * part, 0), { "text-anchor": "middle", "font-size": 14, fill: "var(--muted)" }));
  const cursor = svg("path", { stroke: "var(--blue)", "stroke-width": 2, fill: "none" });
  root.append(cursor);
  root.onclick = (event) => {
    const box = root.getBoundingClientRect();
    const s = ((event.clientX - box.left) * W / box.width - left) / (right - left) * walk.length;
    if (s >= 0 && s <= walk.length) onPick(s);
  };
  return { move(s) { cursor.setAttribute("d", `M${X(s)} ${top - 6}V${axis}`); } };
}
