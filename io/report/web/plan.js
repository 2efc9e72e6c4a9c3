// The sheet from above, its contours, the edge and the place looked at.

// Returns { move(station) }.
function drawPlan(root, settings, walk, stations, copies) {
  root.replaceChildren();
  const [w, h] = settings.size, W = 420, pad = 18;
  const scale = Math.min((W - 2 * pad) / w, 330 / h), H = h * scale + 2 * pad + 22;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  const side = (W - w * scale) / 2, X = (x) => side + x * scale, Y = (y) => pad + (h - y) * scale;
  root.append(svg("rect", { x: X(0), y: Y(h), width: w * scale, height: h * scale, fill: "var(--panel)", stroke: "var(--face)" }));
  for (const c of settings.contours)
    for (const [dx, dy] of c.at)
      root.append(svg("path", { d: piecesPath(c.segments, (x) => X(x + dx), (y) => Y(y + dy), scale), fill: "none", stroke: "var(--face)", "stroke-width": 1.2 }));
  const first = copies[0] || [0, 0];
  for (const [x, y] of copies) {
    const dx = x - first[0], dy = y - first[1];
    root.append(svg("path", { d: piecesPath(walk.contour, (u) => X(u + dx), (v) => Y(v + dy), scale), fill: "none", stroke: "var(--blue)", "stroke-width": 2.5 }));
  }
  const apart = stations.filter((s) => s.kind !== 0);
  for (const s of apart) root.append(svg("circle", { cx: X(s.x), cy: Y(s.y), r: 3, fill: "var(--face)" }));
  if (walk.shown !== null) {
    const s = stations[walk.shown], r = 9;
    root.append(svg("path", { d: `M${X(s.x)} ${Y(s.y) - r}l${r} ${1.6 * r}h${-2 * r}z`, fill: "var(--orange)", stroke: "var(--ground)", "stroke-width": 2 }));
  }
  const here = svg("circle", { r: 8, fill: "none", stroke: "var(--ink)", "stroke-width": 3 });
  root.append(here);
  root.append(svg("path", { d: `M${pad + 8} ${H - 20}l6 10h-12z`, fill: "var(--orange)" }), label(pad + 20, H - 10, "worst place", { "font-size": 13 }));
  root.append(svg("circle", { cx: pad + 128, cy: H - 15, r: 5, fill: "none", stroke: "var(--ink)", "stroke-width": 2.5 }), label(pad + 140, H - 10, "place shown", { "font-size": 13 }));
  return { move(station) { here.setAttribute("cx", X(station.x)); here.setAttribute("cy", Y(station.y)); } };
}
