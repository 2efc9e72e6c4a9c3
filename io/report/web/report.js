// The report's page.

const data = {
  report: JSON.parse(document.getElementById("data-report").textContent),
  walk: JSON.parse(document.getElementById("data-walk").textContent),
  windows: JSON.parse(document.getElementById("data-windows").textContent),
  pictures: JSON.parse(document.getElementById("data-pictures").textContent),
};

const kPrintedEdges = 8;

// What is made anew where the unit changes.
function remade(element, parts) {
  const update = () => element.replaceChildren(parts());
  unit.listeners.push(update);
  update();
  return element;
}

function printSheet() {
  document.body.classList.add("only-sheet");
  window.print();
}
window.addEventListener("afterprint", () => document.body.classList.remove("only-sheet"));

// What to change on an edge, and how sure it is.
function adviceOf(index) {
  const edge = data.report.edges[index], map = data.windows[index];
  return [cureOf(edge, map), oddsOf(edge, map)];
}

class EdgePage {
  // printed: for paper, where there is nothing to turn or to slide.
  constructor(index, printed) {
    this.printed = printed;
    this.index = index;
    this.edge = data.report.edges[index];
    this.walk = data.walk.walk[index];
    this.settings = data.walk.settings;
    this.stations = stationsOf(this.walk);
    this.at = this.walk.shown === null ? 0 : this.walk.shown;
    this.picture = data.pictures.close_ups[index];
    const map = data.windows[index];
    this.window = map && (map.none ? { text: make("p", {}, map.none) } : windowParts(map, this.edge));
  }

  station() { return this.stations[this.at]; }

  build() {
    if (!this.stations.length)
      return [make("section", {}, make("p", {}, "This edge has no place where a section could be taken; see the warnings."))];
    const measures = measuresTable();
    this.measures = measures.body;
    const id = (name) => (this.printed ? `${name}-${this.index}` : name);
    this.section = svg("svg", { class: "drawing", id: id("section-drawing"), role: "img", "aria-label": "section across the edge" });
    this.alongSvg = svg("svg", { class: "drawing", id: id("along-drawing"), role: "img", "aria-label": "measures along the contour" });
    this.planSvg = svg("svg", { class: "drawing", id: id("plan-drawing"), role: "img", "aria-label": "the sheet from above with the edge" });
    this.place = make("p", { class: "quiet", id: id("place"), "aria-live": "polite" });
    this.walkKnob = knob("Walk along the edge", { min: 0, max: this.stations.length - 1, step: 1, value: this.at }, (v) => this.go(v));
    this.walkKnob.input.setAttribute("aria-describedby", "place");
    const worst = make("button", { type: "button", class: "no-print", onclick: () => this.go(this.walk.shown ?? 0) }, "Worst place");
    // On a narrow screen the picture starts at what it is about, right of its middle.
    const toCut = (e) => { const box = e.target.parentElement; box.scrollLeft = 0.8 * (box.scrollWidth - box.clientWidth); };
    const verdict = data.report.edges.length > 1 ? remade(make("div", {}), () => verdictBox(this.edge.verdict, ...adviceOf(this.index))) : "";
    const walkSection = [this.section, this.printed ? "" : make("div", { class: "no-print" }, this.walkKnob.box, worst)];
    const sectionOnly = !this.picture;  // then the section takes the best place
    const turned = liesTurned(this.walk);
    const out = [
      this.printed ? make("h2", {}, this.edge.operation) : "",
      verdict,
      make("section", { class: "grid" },
        make("div", { class: "c8 main-picture" }, ...sectionOnly
          ? [make("h2", {}, turned ? "Section, the lower face drawn on top" : "Section"), ...walkSection]
          : [make("figure", { class: "lettered" }, scrolling("close-up", make("img", { src: this.picture, onload: toCut, alt: `The finished edge '${this.edge.operation}' at its worst place, cut across, lit from the side` })),
            make("figcaption", {}, "The finished edge at its worst place, cut across, in light from the side."))]),
        make("div", { class: "c4 main-measures" }, make("h2", {}, "Measured against your wishes"), this.place,
          scrolling("measures", measures.table), live(make("p", { class: "quiet" }), () => this.summary()))),
      make("section", { class: "grid" },
        sectionOnly ? "" : make("div", { class: "c6 section-figure" }, make("h2", {}, turned ? "Section, the lower face drawn on top" : "Section"), ...walkSection),
        this.printed ? "" : make("div", { class: "c6 no-print" }, make("h2", {}, turned ? "The edge in raking light, the lower face on top" : "The edge in raking light"), this.solid()),
        ...(!this.window ? [] : this.window.figure
          ? [make("div", { class: "c6 window-figure" }, make("h2", {}, "The window for depth and offset"), this.window.figure),
            make("div", { class: "c6 window-text" }, make("h2", {}, "What to set"), this.window.text)]
          : [make("div", { class: "c12 window-none" }, make("h2", {}, "The window for depth and offset"), this.window.text)])),
      make("section", { class: "grid" },
        make("div", { class: "c8 along-figure" }, make("h2", {}, "Along the contour"), this.alongSvg),
        make("div", { class: "c4 where-figure" }, make("h2", {}, "Where"), this.planSvg)),
    ];
    unit.listeners.push(() => this.redraw());
    return out;
  }

  summary() {
    const e = this.edge, parts = [];
    if (e.copies > 1) parts.push(`${e.copies} copies measure the same.`);
    parts.push(`${e.stations} sections along ${length(e.length_mm, 1)}.`);
    if (e.gouge.max_mm > 0.0005) parts.push(`Below the wanted form by up to ${length(e.gouge.max_mm)}: nothing can put that back.`);
    if (e.excess.max_mm > 0.0005) parts.push(`Above the wanted form by up to ${length(e.excess.max_mm)}: sanding can take that.`);
    if (e.blend.volume_mm3 > 0.05) parts.push(`The least that must come off to make it fair: ${volume(e.blend.volume_mm3)} a part.`);
    const missed = e.unreached.filter((u) => u.length_mm >= 0.05), corners = e.unreached.length - missed.length;
    const sum = missed.reduce((all, u) => all + u.length_mm, 0);
    if (missed.length) parts.push(`${length(sum, 1)} in ${missed.length} place${missed.length > 1 ? "s" : ""} not reached by the bit (grey dots).`);
    if (corners) parts.push(`${corners} sharp inner corner${corners > 1 ? "s" : ""} that no bit can mitre.`);
    return parts.join(" ");
  }

  solid() {
    return solidPanel((view) => {
      this.view = view;
      this.redraw();
    }, this.picture, this.walk.folded);
  }

  go(index) {
    this.at = Math.max(0, Math.min(this.stations.length - 1, index));
    this.walkKnob.input.value = this.at;
    this.show();
  }

  show() {
    const s = this.station(), w = this.walk;
    const kinds = ["", "; the bit does not reach here", "; a ramp or an end, apart from the statistics"];
    this.place.textContent = `${this.at === w.shown ? "Worst place" : "Here"}: ${length(s.s, 1)} along, at ${place(s.x, s.y)}${kinds[s.kind]}`;
    this.walkKnob.output.textContent = length(s.s, 1);
    fillMeasures(this.measures, s, this.settings, w.wanted);
    drawSection(this.section, { pieces: w.sections[s.section], station: s, wanted: w.wanted, settings: this.settings, wishes: this.settings.wishes,
      folded: w.folded, both: w.both, turned: liesTurned(w), across: s.across === null ? null : w.sections[s.across] });
    this.along.move(s.s);
    this.plan.move(s);
    if (this.view) this.view.show(w, this.stations, this.settings, s.s);
  }

  redraw() {
    if (!this.stations.length) return;
    this.along = drawAlong(this.alongSvg, this.walk, this.stations, this.settings, (s) => this.go(nearestStation(this.stations, s)));
    this.plan = drawPlan(this.planSvg, this.settings, this.walk, this.stations, this.edge.at);
    this.show();
  }
}

function buildReport() {
  const page = document.getElementById("page"), report = data.report, settings = data.walk.settings;
  if (settings.inch) unit.name = "in";
  page.append(make("header", { class: "bar" },
    make("div", {}, make("h1", {}, report.scene.title), make("span", { class: "quiet" }, `${report.scene.file} · edge report`)),
    make("div", { class: "tools no-print" }, unitButtons(), themeButton(),
      make("button", { type: "button", onclick: () => window.print() }, "Print"),
      make("button", { type: "button", onclick: printSheet }, "Print set-up sheet"))));
  const main = make("main", {});
  page.append(main);
  // With one edge only, the window's setting is what to change; with several, each edge says it for itself.
  main.append(remade(make("div", {}), () => verdictBox(report.verdict, ...(report.edges.length === 1 ? adviceOf(0) : []))));

  const edgeBox = make("div", { id: "edge", class: "edge" });
  const pages = report.edges.map((_, i) => new EdgePage(i));
  let shown = 0;
  const showEdge = (i) => {
    shown = i;
    edgeBox.replaceChildren(...pages[i].build());
    pages[i].redraw();
    [...choice.children].forEach((b, k) => b.setAttribute("aria-pressed", String(k === i)));
  };
  const choice = make("div", { class: "tools no-print", role: "group", "aria-label": "Edge" },
    ...report.edges.map((e, i) => make("button", { type: "button", onclick: () => showEdge(i) }, `${e.verdict.good ? "✓" : "▲"} ${e.operation}`)));
  if (report.edges.length > 1) main.append(choice);
  main.append(edgeBox);
  // On paper the other edges follow the one on the screen.
  const others = report.edges.map(() => null);
  window.addEventListener("beforeprint", () => {
    for (let i = 0; i < report.edges.length && i < kPrintedEdges; i++) {
      if (i !== shown && !others[i]) {
        const page = new EdgePage(i, true);
        others[i] = make("div", { class: "print-only edge" }, ...page.build());
        (others.slice(0, i).findLast((e) => e) || edgeBox).after(others[i]);
        page.redraw();
      }
      if (others[i]) others[i].classList.toggle("hidden", i === shown);
    }
  });
  if (report.edges.length > kPrintedEdges)
    main.append(make("p", { class: "print-only" }, `Printed: the first ${kPrintedEdges} edges and the one on the screen; report.txt tells all ${report.edges.length}.`));
  if (pages.length) {
    const worst = report.edges.findIndex((e) => !e.verdict.good);
    showEdge(Math.max(0, worst));
  } else main.append(make("p", {}, "The scene has no edge operation: there is nothing to measure."));

  main.append(make("section", {}, make("h2", {}, "Settings and bit readings"),
    scrolling("passes and settings", operationsTable(settings, false))),
  make("section", { class: "grid bits" }, ...settings.bits.map((b) => make("div", { class: "c6" }, bitCard(b)))));
  if (report.shop) main.append(...shopSections(report.shop, data.pictures));
  const layers = make("dl", { class: "facts" });
  for (const l of settings.layers)
    layers.append(make("dt", {}, make("span", { class: "swatch", style: `background:${l.color}` }), l.name), live(make("dd"), () => length(l.thickness, 2)));
  main.append(make("section", { class: "grid" },
    make("div", { class: "c6" }, make("h2", {}, "Sheet"), layers,
      report.stock.removed_volume_mm3 ? live(make("p", { class: "quiet" }), () => `Removed by all operations: ${volume(report.stock.removed_volume_mm3)}.`) : null),
    make("div", { class: "c6" }, make("h2", {}, "Warnings"), report.warnings.length
      ? make("ul", { class: "plain" }, ...report.warnings.map((w) => live(make("li", {}), () => inUnit(w.line ? `${w.text} (line ${w.line})` : w.text))))
      : make("p", {}, "None."))));
  main.append(make("section", { class: "cautions" }, make("h2", {}, "Cautions"), make("ul", { class: "plain quiet" }, ...report.cautions.map((c) => make("li", {}, c)))));
  main.append(setUpSheet(data));
}

buildReport();
