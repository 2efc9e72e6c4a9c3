// What the job asks of bit and machine, the marks it leaves, time, sanding and cost.

function minutes(seconds) {
  return seconds < 90 ? `${Math.round(seconds)} s` : `${trimmed(seconds / 60, 1)} min`;
}

function between(range, text) {
  return range.high - range.low < 1e-9 ? text(range.value) : `${text(range.value)} (${text(range.low)} to ${text(range.high)})`;
}

function microns(mm) {
  return unit.name === "mm" ? `${trimmed(mm * 1000, 1)} µm` : `${trimmed(mm / 0.0254, 2)} thou`;
}

function wideTable(name, head, rows) {
  const body = make("tbody");
  for (const row of rows) {
    const tr = make("tr");
    row.forEach((text, i) => {
      const cell = i === 0 ? make("th", { scope: "row" }) : make("td", { class: i > 1 ? "n" : "" });
      tr.append(live(cell, typeof text === "function" ? text : () => text));
    });
    body.append(tr);
  }
  return scrolling(name,
    stacked(make("table", { class: "wide" }, make("thead", {}, make("tr", {}, ...head.map((t, i) => make("th", { scope: "col", class: i > 1 ? "n" : "" }, t)))), body)));
}

// What hangs on feed and spindle speed: a dash where one of them was not told.
const known = (pass, text) => (pass.chip_load_mm > 0 ? text : "-");

// What a drawing is written with, ruled with and shaded with, by its file's colour; what shows the sheet keeps its own.
const kThemed = { "#ffffff": "var(--ground)", "#1b1f24": "var(--ink)", "#58616b": "var(--muted)", "#d0d5db": "var(--line)",
  "#0065a3": "var(--blue)", "#c45200": "var(--orange)" };
let plots = 0;

// A drawing with both units in it, as its file beside the report has it, in the page's light or dark.
// source: data:image/svg+xml in base64.
function plotFigure(source, about) {
  const bytes = Uint8Array.from(atob(source.slice(source.indexOf(",") + 1)), (c) => c.charCodeAt(0));
  // Several drawings stand on one page: each keeps its clips to itself.
  const text = new TextDecoder().decode(bytes).replace(/( id="|url\(#)(?=clip)/g, `$1plot${plots}-`);
  ++plots;
  const root = document.importNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true);
  root.setAttribute("class", "plotted");
  root.setAttribute("role", "img");
  root.setAttribute("aria-label", about);
  for (const part of root.querySelectorAll("text, line, polyline, path, rect"))
    for (const what of part.matches("path") ? ["stroke"] : ["fill", "stroke"]) {
      const themed = kThemed[part.getAttribute(what)];
      if (themed) part.setAttribute(what, themed);
    }
  return make("figure", { class: "plot" }, scrolling(about, root));
}

// pictures: for each edge the drawing of its loads and of its feed marks, "" for none.
function shopSections(shop, pictures) {
  const out = [];
  // Edges on copies that differ share their operation's passes.
  const loads = [...new Set(pictures.loads)].filter((source) => source)
    .map((source) => plotFigure(source, `Loads along the passes of ${shop.finish[pictures.loads.indexOf(source)].operation}: section removed, cutting power, tip load`));
  if (shop.passes.length)
    out.push(make("section", {}, make("h2", {}, "What each pass asks of the bit"),
      wideTable("loads", ["Operation, pass", "Bit", "Section taken", "Chip a tooth", "In contact, wide × deep", "Speed, tip to rim", "Power", "Tip load", "Time"],
        shop.passes.map((p) => [`${p.operation}, ${p.pass}`, p.bit, () => (unit.name === "mm" ? `${trimmed(p.section_mm2.max, 2)} mm²` : `${trimmed(p.section_mm2.max / 645.16, 4)} in²`),
          known(p, () => length(p.chip_load_mm)), () => `${length(p.width_mm, 2).replace(/ .*/, "")} × ${length(p.depth_mm, 2)}`,
          known(p, () => `${speed(p.tip_speed_m_s)} to ${speed(p.rim_speed_m_s)} ${unit.name === "mm" ? "m/s" : "ft/min"}`), known(p, between(p.power_w, (v) => `${trimmed(v, 0)} W`)),
          known(p, `${trimmed(p.tip.index.value, 1)} %`), p.seconds ? minutes(p.seconds.cutting + p.seconds.entering) : "-"])),
      make("p", { class: "quiet" }, "Tip load: how hard the bit is bent where it is weakest, in % of the strength assumed for it (a guess). It compares ways to do the job and promises nothing."),
      ...loads));
  const facts = make("dl", { class: "facts" });
  const fact = (name, text) => facts.append(make("dt", {}, name), make("dd", {}, text));
  if (shop.time) fact("Machine, a sheet", `${minutes(shop.time.total_s)}, ${shop.time.bit_changes} bit change${shop.time.bit_changes === 1 ? "" : "s"}`);
  if (shop.sanding) fact("Sanding, a sheet", `${between(shop.sanding.seconds, minutes)}; rates: ${shop.sanding.rates_from}`);
  for (const f of shop.finish) if (f.sanding) {
    fact(`Sanding, ${f.operation}`, [f.sanding.worst, ...f.sanding.grits.map((g) => `P${g.grit}`)].join(", "));
    for (const t of f.sanding.cannot_mend) fact("Sanding cannot mend", live(make("span"), () => inUnit(t)));
  }
  if (shop.cost) {
    const money = (v) => `${trimmed(v, 2)} ${shop.cost.currency || "in the money of your rates"}`;
    fact("Cost, a part", between(shop.cost.part.total, money));
    fact(`Cost, batch of ${shop.cost.batch}`, between(shop.cost.whole_batch.total, money));
  }
  if (facts.children.length) out.push(make("section", {}, make("h2", {}, "Time, sanding and cost"), facts));
  shop.finish.forEach((f, i) => {
    if (!f.marks) return;
    out.push(make("section", {}, make("h2", {}, `Feed marks: ${f.operation}`),
      live(make("p"), () => `${trimmed(f.marks.marks_per_inch, 0)} marks per inch (${trimmed(f.marks.marks_per_inch / 25.4, 1)} a mm; ${f.marks.grade === "none" ? "below the economy grade" : `${f.marks.grade} grade`} of the Architectural Woodwork Standards); the tallest crest is ${microns(f.marks.tallest_mm)}, near the tip's end of the curve.`),
      wideTable("feed marks", ["Along the curve, from the foot", "", "Crest", "Ra", "Rz"], f.marks.bands.map((b) =>
        [() => `${length(b.from_mm, 2)} to ${length(b.to_mm, 2)}`, b.nearest_tip ? "nearest the tip" : "", () => microns(b.rt_mm), () => microns(b.ra_mm), () => microns(b.rz_mm)])),
      pictures.marks[i] ? plotFigure(pictures.marks[i], `Feed marks of ${f.operation}: where along the curve, how tall, along the feed`) : null));
  });
  return out;
}
