// What feed and spindle speed change on the tried edge: chip, feed marks, load, time.

// The marks along the feed, heights much enlarged, each as a parabola through its crests.
function drawMarks(root, marks) {
  root.replaceChildren();
  const W = 460, H = 150, left = 92, right = W - 12, low = 98, high = 22;
  root.setAttribute("viewBox", `0 0 ${W} ${H}`);
  const inch = unit.name === "in", shown = inch ? 3.175 : 3;  // mm along the feed
  const steps = inch ? [0.000254, 0.00127, 0.00254, 0.0127, 0.0254, 0.127, 0.254] : [0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5];
  const tall = steps.find((s) => s >= marks.tallest_mm) || marks.tallest_mm;
  const pitch = 25.4 / marks.marks_per_inch, across = (right - left) / shown, up = (low - high) / tall;
  const count = Math.min(600, Math.ceil(shown / pitch)), crest = low - marks.tallest_mm * up, valley = low + marks.tallest_mm * up;
  let d = `M${left} ${crest}`;
  for (let k = 0; k < count; k++) d += `Q${left + (k + 0.5) * pitch * across} ${valley} ${left + (k + 1) * pitch * across} ${crest}`;
  const id = "marks-clip";
  root.append(svg("defs", {}, svg("clipPath", { id }, svg("rect", { x: left, y: 0, width: right - left, height: H }))),
    svg("path", { d: `${d}V${low + 8}H${left}Z`, fill: "var(--blue-soft)", stroke: "var(--ink)", "stroke-width": 1.5, "clip-path": `url(#${id})` }),
    svg("path", { d: `M${left - 8} ${low}h-8M${left - 8} ${high}h-8M${left - 12} ${low}V${high}`, stroke: "var(--muted)" }),
    label(left - 20, (low + high) / 2 + 5, microns(tall), { "font-size": 14, "text-anchor": "end" }),
    svg("path", { d: `M${left} ${low + 16}v8M${right} ${low + 16}v8M${left} ${low + 20}H${right}`, stroke: "var(--muted)" }),
    label((left + right) / 2, low + 38, `${inch ? "1/8 in" : "3 mm"} along the feed, heights ${Math.round(up / across)} ×`, { "font-size": 14, "text-anchor": "middle" }));
}

// What has to be told before a figure can be.
function missingOf(op) {
  const parts = [op.feed ? "" : "feed", op.spindle ? "" : "spindle speed"].filter(Boolean);
  return parts.length ? `not known: '${op.name}' has no ${parts.join(" and no ")}` : "not known";
}

// Rows [key, name, text] of an answer to /shop for one operation.
function feedRows(answer, op, settings) {
  const rows = [], passes = answer.passes, most = (f) => passes.reduce((a, b) => (f(b) > f(a) ? b : a));
  const told = passes.length > 0 && most((p) => p.chip_load_mm).chip_load_mm > 0;
  rows.push(["chip", "Chip a tooth", told ? length(most((p) => p.chip_load_mm).chip_load_mm) : missingOf(op)]);
  const m = answer.marks;
  if (m) {
    rows.push(["pitch", "Feed marks", `${length(25.4 / m.marks_per_inch)} apart, ${trimmed(m.marks_per_inch, 1)} an inch`],
      ["crest", "Tallest mark", `${microns(m.tallest_mm)}${m.bands.some((b) => !b.overlap) ? "; somewhere the marks do not even meet" : ""}`]);
  } else rows.push(["pitch", "Feed marks", told ? "none on this surface" : missingOf(op)]);
  if (told) {
    const hard = most((p) => p.power_w.value), bent = most((p) => p.tip.index.value), which = (p) => (passes.length > 1 ? `, pass ${p.pass}` : "");
    rows.push(["power", "Power at the cut", `${between(hard.power_w, (v) => `${trimmed(v, 0)} W`)}${which(hard)}`]);
    if (bent.tip.index.value > 0) rows.push(["tip", "Tip load", `${trimmed(bent.tip.index.value, 1)} % of the strength assumed, a guess${which(bent)}`]);
  } else rows.push(["power", "Load", missingOf(op)]);
  if (answer.time) {
    const own = answer.time.operations[settings.operations.indexOf(op)];
    rows.push(["time", "Time", seconds(own.seconds) === seconds(answer.time.total_s) ? `${seconds(own.seconds)}, all that the sheet takes`
      : `${seconds(own.seconds)} of ${seconds(answer.time.total_s)} for the sheet`]);
  } else {
    const lack = settings.operations.filter((o) => o.kind !== "turn" && !o.feed).map((o) => `'${o.name}'`);
    rows.push(["time", "Time", `not known: no feed for ${lack.join(", ") || "some of the moves"}`]);
  }
  return rows;
}

// To a tenth, so that a slider's step is seen.
function seconds(s) { return s < 90 ? `${s.toFixed(1)} s` : `${Math.floor(s / 60)} min ${Math.round(s % 60)} s`; }

function feedPanel() {
  const list = make("dl", { class: "facts" }), notes = make("ul", { class: "plain" });
  const drawing = svg("svg", { class: "drawing", id: "marks-drawing", role: "img", "aria-label": "feed marks along the feed, heights enlarged" });
  const box = make("div", { class: "c12 feed-panel", id: "shop" }, make("h2", {}, "Feed and speed: marks, load and time"),
    make("div", { class: "grid" }, make("div", { class: "c6" }, list, notes), make("div", { class: "c6" }, drawing)));
  // The same in short, beside the sliders.
  const line = make("p", { class: "note", id: "feed-line" });
  return {
    box, line,
    show(answer, op, settings) {
      const rows = feedRows(answer, op, settings), own = answer.time && answer.time.operations[settings.operations.indexOf(op)];
      line.textContent = !answer.marks ? rows[0][2] : [`chip ${rows[0][2]}`, `marks ${length(25.4 / answer.marks.marks_per_inch)} apart, ${microns(answer.marks.tallest_mm)} tall`,
        own ? seconds(own.seconds) : ""].filter(Boolean).join(" · ");
      list.replaceChildren(...rows.flatMap(([key, name, text]) => [make("dt", {}, name), make("dd", { "data-shop": key }, text)]));
      notes.replaceChildren(...answer.warnings.map((w) => make("li", {}, inUnit(w))));
      drawing.classList.toggle("hidden", !answer.marks);
      if (answer.marks) drawMarks(drawing, answer.marks);
    },
  };
}
