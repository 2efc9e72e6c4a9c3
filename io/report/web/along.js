// Lip, band and what shows of a hidden layer along the contour, with the wish as a line.

function alongRows(walk, stations, settings) {
  const w = settings.wishes;
  const rows = [
    { name: "lip", value: (s) => s.lip, wish: w.lip, text: length },
    { name: "flat band", value: (s) => s.band, wish: w.band, text: length },
    { name: "wall break", value: (s) => s.wall_break, wish: w.wall_break + walk.wanted.wall_break, text: degrees },
    { name: "face break", value: (s) => s.face_break, wish: w.face_break + walk.wanted.face_break, text: degrees },
  ];
  settings.layers.forEach((l, i) => {
    const hidden = w.hidden.includes(l.name);
    if (hidden || stations.some((s) => s.exposure[i] > 0.0005))
      rows.push({ name: `${l.name} showing`, value: (s) => s.exposure[i], wish: hidden ? 0 : null, text: length, color: l.color });
  });
  return rows;
}

// Returns { move(s) } that puts the cursor.
function drawAlong(root, walk, stations, settings, onPick) {
  const narrow = root.clientWidth > 0 && root.clientWidth < 500;
  const W = narrow ? 520 : 860, left = 128, right = narrow ? 400 : 742, rowHeight = 58, top = 14;
  const rows = alongRows(walk, stations, settings);
  const H = top + rows.length * rowHeight + 34;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  root.replaceChildren();
  const X = (s) => left + (right - left) * s / walk.length;
  const measured = stations.filter((s) => s.kind === 0);
  rows.forEach((row, k) => {
    const values = measured.map(row.value).filter((v) => v !== null);
    const most = Math.max(1e-9, ...values, row.wish ? row.wish * 1.25 : 0);
    const y0 = top + (k + 1) * rowHeight - 12, height = rowHeight - 20;
    const Y = (v) => y0 - height * v / most;
    root.append(svg("path", { d: `M${left} ${y0}H${right}`, stroke: "var(--face)" }));
    root.append(label(left - 12, y0 - 14, row.name, { "text-anchor": "end", "font-size": 16 }));
    if (row.wish !== null) {
      root.append(svg("path", { d: `M${left} ${Y(row.wish)}H${right}`, stroke: "var(--blue)", "stroke-dasharray": "7 5", "stroke-width": 1.5 }));
      root.append(label(right + 8, Math.max(y0 - height + 10, Math.min(y0, Y(row.wish) + 5)), row.wish > 0 ? `wish ${row.text(row.wish)}` : "wish: none", { "font-size": 14, fill: "var(--blue)" }));
    }
    // Beyond the wish in orange and thicker, so that it does not hang on colour alone.
    let inside = "", beyond = "", last = null;
    for (const s of stations) {
      const v = s.kind === 0 ? row.value(s) : null;
      if (v === null) { last = null; continue; }
      if (last !== null) {
        const d = `M${X(last.s)} ${Y(last.v)}L${X(s.s)} ${Y(v)}`;
        const over = row.wish !== null && Math.max(v, last.v) > row.wish + 1e-4;
        if (over) beyond += d; else inside += d;
      }
      last = { s: s.s, v };
    }
    if (inside) root.append(svg("path", { d: inside, stroke: "var(--ink)", "stroke-width": 2, fill: "none" }));
    if (beyond) root.append(svg("path", { d: beyond, stroke: "var(--orange)", "stroke-width": 3.5, fill: "none" }));
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
