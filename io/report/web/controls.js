// What pages have in common: theme, unit, sliders.

function themeButton() {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const set = (name) => { document.documentElement.dataset.theme = name; };
  set(dark.matches ? "dark" : "light");
  dark.addEventListener("change", () => set(dark.matches ? "dark" : "light"));
  return make("button", { type: "button", onclick: () => set(document.documentElement.dataset.theme === "dark" ? "light" : "dark") }, "Light / dark");
}

// A region that scrolls where it is wider than its place, and then says so.
function scrolling(name, ...content) {
  const box = make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": name }, ...content);
  const look = new ResizeObserver(() => box.classList.toggle("more", box.scrollWidth > box.clientWidth + 2));
  for (const part of [box, ...content]) look.observe(part);
  return box;
}

// A wide table whose rows stand as cards on a narrow screen, each figure behind its column's name.
function stacked(table) {
  const names = [...table.querySelectorAll("thead th")].map((th) => th.textContent);
  table.classList.add("stack");
  for (const row of table.querySelectorAll("tbody tr"))
    if (row.children.length === names.length) [...row.children].forEach((cell, i) => { cell.dataset.name = names[i]; });
  return table;
}

function unitButtons() {
  const box = make("div", { class: "pair", role: "group", "aria-label": "Unit of length" });
  const buttons = ["mm", "in"].map((name) => make("button", { type: "button", onclick: () => setUnit(name) }, name === "mm" ? "mm" : "inch"));
  const show = () => buttons.forEach((b, i) => b.setAttribute("aria-pressed", String(unit.name === ["mm", "in"][i])));
  unit.listeners.push(show);
  show();
  box.append(...buttons);
  return box;
}

function knob(name, attributes, onInput) {
  const id = `knob-${name.replace(/\W+/g, "-").toLowerCase()}`;
  const input = make("input", { type: "range", id, ...attributes });
  const output = make("output", { for: id });
  input.addEventListener("input", () => onInput(Number(input.value)));
  return { box: make("div", { class: "knob" }, make("label", { for: id }, name), input, output), input, output };
}

// The solid with its light and its buttons; onReady(view) once it can draw.
// `still`: the picture to show where the browser cannot draw solids; `below`: there is something to see under the edge.
function solidPanel(onReady, still, below) {
  const canvas = make("canvas", { tabindex: 0, role: "img", "aria-label": "the finished edge as a solid; arrow keys turn it, plus and minus zoom, Home resets" });
  const bar = make("div", { class: "bar3d" });
  const stage = make("div", { class: "stage" }, canvas, bar);
  const light = { azimuth: 80, height: 14 };
  let view = null;
  const tell = () => {
    from.output.textContent = `${light.azimuth}°`;
    height.output.textContent = `${light.height}°`;
    if (view) view.light(light.azimuth, light.height);
  };
  const from = knob("Light from", { min: 0, max: 360, step: 2, value: light.azimuth }, (v) => { light.azimuth = v; tell(); });
  const height = knob("Light height", { min: below ? -70 : 2, max: 70, step: 1, value: light.height }, (v) => { light.height = v; tell(); });
  tell();
  const press = (text, f, hint) => make("button", { type: "button", "aria-label": hint, onclick: () => view && f(view) }, text);
  const tools = make("div", { class: "tools" }, press("+", (v) => v.zoom(1.3), "nearer"), press("−", (v) => v.zoom(1 / 1.3), "farther"),
    press("⟲", (v) => v.turn(0.26, 0), "turn left"), press("⟳", (v) => v.turn(-0.26, 0), "turn right"), press("At the face", (v) => v.near("face"), "closely at the face"), press("At the foot", (v) => v.near("foot"), "closely at the foot"), press("Reset", (v) => v.home(), "reset the view"),
    make("span", { class: "quiet" }, "Drag to turn. It is cut where you walk."));
  const start = () => solidView(stage, canvas, bar).then((made) => {
    view = made;
    tell();
    onReady(view);
    stage.dataset.ready = "yes";
  }).catch(() => {
    // A solid that cannot be turned is of no use: the still, or a word, takes the place of it and its knobs.
    for (const part of [from.box, height.box, tools]) part.remove();
    stage.replaceChildren(still ? make("img", { src: still, alt: "the finished edge, cut across, lit from the side" }) : "",
      make("p", { class: "still" }, `This browser cannot draw solids (WebGL is off)${still ? ": a still picture of the worst place instead" : "; the section shows the same place"}.`));
    stage.dataset.ready = "still";
  });
  const seen = new IntersectionObserver((entries) => {
    if (entries.some((e) => e.isIntersecting)) { seen.disconnect(); start(); }
  }, { rootMargin: "300px" });
  seen.observe(stage);
  return make("div", {}, stage, from.box, height.box, tools);
}
