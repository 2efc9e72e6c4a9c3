// The page that answers while its numbers change.

function chooseEdges() {
  const box = document.getElementById("edges");
  const list = edgeOperations();
  box.classList.toggle("hidden", list.length < 2);
  box.replaceChildren(...list.map((i, k) => make("button", { type: "button", "aria-pressed": String(k === state.edge), onclick: () => {
    state.edge = k;
    endWhole();
    whole = shop = wholeShape = null;
    ask("/cut", question()).then((answer) => { if (answer.ok) { state.settings = answer.settings; chooseEdges(); buildFields(); showCut({ ...answer, milliseconds: 0 }); } });
  } }, state.settings.operations[i].name)));
}

function buildTry() {
  feeds = feedPanel();
  const measures = measuresTable();
  measures.body.id = "measures";
  const file = make("input", { type: "file", accept: ".svg,.dxf,.ngc,.nc,.tap,.cnc,.gcode", class: "visually-hidden", id: "drawing-file", tabindex: -1, "aria-label": "drawing or program",
    onchange: () => { if (file.files[0]) takeFile(file.files[0]); file.value = ""; } });
  const walkKnob = knob("Walk along the edge", { min: 0, max: 1, step: 1, value: 0 }, (v) => { if (whole && whole.go) whole.go(v); });
  walkKnob.box.id = "walk-knob";
  const knobs = make("form", { class: "settings card", "aria-label": "settings", onsubmit: (e) => e.preventDefault() }, make("div", { id: "fields" }));
  // The knobs end where the window does, and say when there are more of them.
  const below = () => {
    knobs.style.setProperty("--room", `${Math.max(320, window.innerHeight - Math.max(10, knobs.getBoundingClientRect().top) - 10)}px`);
    knobs.classList.toggle("more", knobs.scrollHeight - knobs.scrollTop - knobs.clientHeight > 24);
  };
  knobs.addEventListener("scroll", below, { passive: true });
  for (const what of ["scroll", "resize"]) window.addEventListener(what, below, { passive: true });
  const size = new ResizeObserver(below);
  for (const part of [knobs, knobs.firstElementChild]) size.observe(part);
  const map = svg("svg", { class: "drawing map", id: "window-drawing", role: "application", tabindex: 0,
    "aria-label": "depth against offset; click a place, or use the arrow keys: left and right move the axis, up and down the depth" });
  map.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: [0, -0.02], ArrowRight: [0, 0.02], ArrowUp: [-0.02, 0], ArrowDown: [0.02, 0] }[e.key];
    if (!step || !state.settings) return;
    e.preventDefault();
    const op = operation();
    pick(op.depth + step[0], op.offset + step[1]);
  });
  document.getElementById("page").append(
    make("header", { class: "bar" }, make("div", {}, make("h1", {}, scene.file), make("span", { class: "quiet" }, "Turn a knob; the edge answers. Drop a drawing or a program on the page to try it.")),
      make("div", { class: "tools" }, unitButtons(), themeButton(), make("button", { type: "button", id: "undo", disabled: true, onclick: undo }, "Undo"),
        make("button", { type: "button", onclick: () => file.click() }, "Drawing or program…"), file,
        make("button", { type: "button", id: "save", onclick: saveDialog }, "Save as…"))),
    make("main", {},
      make("div", { id: "edges", class: "tools", role: "group", "aria-label": "Edge" }),
      make("p", { id: "message", role: "status" }),
      make("div", { class: "try" },
        knobs,
        make("div", { class: "results" },
          make("div", { id: "live", class: "live" }, make("div", { id: "verdict", class: "pinned", tabindex: -1 }),
            make("div", { class: "grid" },
              make("div", { class: "c7" }, make("h2", { id: "section-title" }, "Section"), svg("svg", { class: "drawing", id: "section-drawing", role: "img", "aria-label": "section across the edge" })),
              make("div", { class: "c5" }, make("h2", {}, "Measured against your wishes"), measures.table),
              feeds.box)),
          make("div", { id: "whole" },
            make("section", { class: "grid" },
              make("div", { class: "c6" }, make("h2", { id: "window-title" }, "The window: click to set depth and axis"), make("p", { id: "no-window" }),
                make("div", { id: "window-box" }, map,
                  make("div", { class: "tools" }, make("button", { type: "button", id: "best", disabled: true,
                    onclick: setToBest }, "Set to the best")),
                  make("p", { id: "best-chance" }))),
              make("figure", { class: "c6 hidden", id: "close-up" }, make("h2", {}, "Close-up"), make("img", { alt: "the finished edge at its worst place, cut across, lit from the side" }))),
            make("section", { class: "grid" },
              make("div", { class: "c6" }, make("h2", {}, "The edge in raking light"),
                solidPanel((view) => { solid = view; drawCut(); showWhole(); })),
              make("div", { class: "c6" }, make("h2", {}, "Along the contour"),
                svg("svg", { class: "drawing", id: "along-drawing", role: "img", "aria-label": "measures along the contour" }), walkKnob.box)),
            make("section", { id: "warnings-box", class: "hidden" }, make("h2", {}, "Warnings"), make("ul", { class: "plain", id: "warnings" })))))));
  unit.listeners.push(() => { for (const f of fields) f.show(); drawCut(); showShop(); showWhole(); if (onPhone.matches) askPictureAgain(); });
  // A phone's close-up is lettered for its width.
  onPhone.addEventListener("change", askPictureAgain);
  for (const name of ["dragover", "dragleave", "drop"])
    document.addEventListener(name, (e) => {
      e.preventDefault();
      document.body.classList.toggle("drop", name === "dragover");
      if (name === "drop" && e.dataTransfer.files[0] && state.settings) takeFile(e.dataTransfer.files[0]);
    });
  document.addEventListener("keydown", (e) => {
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && !/text/.test(e.target.type || "")) { e.preventDefault(); undo(); }
  });
  changed(null);
}

buildTry();
