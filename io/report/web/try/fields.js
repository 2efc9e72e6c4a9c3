// The numbers of the scene that can be turned: a text and a slider for each.

const kMostZError = 5;  // mm, as the server takes it

class Field {
  // spec: { path, name, kind: "length" | "feed" | "angle" | "plain" | "passes", from, to, step, own }
  constructor(spec) {
    this.spec = spec;
    const id = `field-${spec.path.replace(/\W+/g, "-")}`;
    this.text = make("input", { type: "text", id, autocomplete: "off", spellcheck: "false", inputmode: spec.kind === "passes" ? "text" : "decimal" });
    this.fault = make("div", { class: "fault", id: `${id}-fault`, role: "alert" });
    this.text.setAttribute("aria-describedby", this.fault.id);
    this.slider = make("input", { type: "range", min: spec.from, max: spec.to, step: spec.step, "aria-label": `${spec.name}, slider` });
    this.label = make("label", { for: id });
    this.box = make("div", { class: "field" }, this.label, this.text, this.slider, this.fault);
    this.show();
    this.text.addEventListener("focus", () => { this.held = false; });
    this.text.addEventListener("input", () => this.typed());
    this.text.addEventListener("change", () => { this.held = false; });
    this.slider.addEventListener("input", () => {
      keepForUndo(this, this.held);
      this.held = true;
      this.set(Number(this.slider.value));
    });
    this.slider.addEventListener("change", () => { this.held = false; });
  }

  typed() {
    keepForUndo(this, this.held);
    this.held = true;
    const text = this.text.value;
    if (this.spec.own) {
      const mm = typedLength(text);
      if (mm === null) { this.blame("write a length, such as 0.05 mm"); return; }
      if (Math.abs(mm) > kMostZError) { this.blame(`write ${length(kMostZError)} at most, either way`); return; }
      this.spec.own(mm);
    } else {
      // Without a unit it is meant in the page's; a scene takes bare numbers in its own, and no bare fractions.
      const measured = this.spec.kind === "length" || this.spec.kind === "feed", fraction = /^\s*-?(\d+[- ])?\d+\/\d+\s*$/.test(text);
      const bare = measured && (fraction || (/^\s*-?\d*\.?\d+\s*$/.test(text) && (unit.name === "in") !== state.first.inch));
      state.values[this.spec.path] = bare ? `${text.trim()} ${unit.name}${this.spec.kind === "feed" ? "/min" : ""}` : text;
    }
    const v = this.spec.kind === "feed" ? (typedLength(text.replace(/\/min\s*$/, "")) ?? NaN) : this.spec.kind === "length" ? typedLength(state.values[this.spec.path] ?? text)
      : this.spec.kind === "passes" ? (/,/.test(text) ? text.split(",").length : Number(text)) : Number(text);
    if (v !== null && Number.isFinite(v)) this.slider.value = v;
    changed(this.spec.path);
  }

  // From the slider: mm, mm/min, rpm.
  set(value) {
    if (this.spec.own) this.spec.own(value);
    else state.values[this.spec.path] = ["plain", "passes", "angle"].includes(this.spec.kind) ? String(value) : this.spec.kind === "feed" ? `${value} mm/min` : sceneNumber(value);
    this.write(value);
    changed(this.spec.path);
  }

  write(value) {
    if (this.spec.kind === "length") this.text.value = length(value, 3).replace(/ .*/, "");
    else if (this.spec.kind === "feed") this.text.value = value ? feed(value).replace(/ .*/, "") : "";
    else if (this.spec.kind === "angle") this.text.value = String(Number(value.toFixed(2)));
    else this.text.value = String(Math.round(value));
  }

  // The value that the last good answer used.
  show() {
    const { name, kind } = this.spec, now = this.spec.read();
    this.label.textContent = kind === "feed" ? `${name}, ${unit.name}/min` : kind === "length" ? `${name}, ${unit.name}` : kind === "angle" ? `${name}, degrees` : this.spec.note ? `${name}${this.spec.note()}` : name;
    if (kind === "passes") this.text.value = this.spec.written(); else this.write(now ?? 0);
    if (now !== null) {
      this.slider.min = Math.min(Number(this.slider.min), now);
      this.slider.max = Math.max(Number(this.slider.max), now);
      this.slider.value = now;
    }
  }

  // What is refused as a bare number in the scene's inches, but would lie among the slider's in mm, or the other way round.
  hint() {
    const text = state.values[this.spec.path] ?? "";
    if (this.spec.kind !== "length" || !/^\s*\d*\.?\d+\s*$/.test(text)) return "";
    const other = state.first.inch ? "mm" : "in", meant = `${text.trim()} ${other}`, mm = typedLength(meant);
    return mm >= this.spec.from && mm <= this.spec.to ? `If ${other} are meant, write ${meant}.` : "";
  }

  blame(text) {
    this.fault.textContent = text;
    if (text) this.text.setAttribute("aria-invalid", "true"); else this.text.removeAttribute("aria-invalid");
  }

  mark() { this.box.classList.toggle("changed", this.spec.own ? this.spec.read() !== 0 : this.spec.path in state.values); }
}

let fields = [], shownKind = null;

// Passes that are a list must end at the depth.
function passesFollowDepth(mm) {
  const index = edgeOperations()[state.edge], op = operation();
  if (op.pass_count !== null || op.passes.length < 2) return;
  const before = state.first.operations[index].passes.slice(0, -1).filter((p) => p < mm - 0.05);
  state.values[`operations/${index}/passes`] = [...before, mm].map(sceneNumber).join(", ") + (before.length ? "" : ",").replace(/,$/, "");
  if (!before.length) state.values[`operations/${index}/passes`] = "1";
}

function passesNote(op) {
  if (op.pass_count === null && op.passes.length > 1) return `: depths (${state.first.inch ? "in" : "mm"}), or how many`;
  return `${op.pass_balanced ? " of equal work" : ""}${op.pass_finish > 0 ? `, then a last one of ${length(op.pass_finish)}` : ""}: how many, or depths (${state.first.inch ? "in" : "mm"})`;
}

// Every number of an undercut bit's form; of the others those that an edge hangs on.
function bitFields(bit, size, bitNow) {
  const at = (key) => `bits/${bit.id}/${key}`;
  if (bit.numbers.length)
    return bit.numbers.map((n) => ({ path: at(n.key), name: n.name, kind: n.angle ? "angle" : "length", from: n.lo, to: n.hi, step: n.angle ? 0.1 : 0.01,
      read: () => bitNow().numbers.find((m) => m.key === n.key)?.value ?? null }));
  const one = (key, name, from, to) => ({ path: at(key), name, kind: "length", read: () => bitNow()[key], from, to, step: 0.01 });
  if (bit.form === "point_roundover")
    return [one("working_depth", "Working depth", 0.5 * (bit.radius || size), bit.radius || size), one("tip_flat", "Tip flat, across", 0, Math.max(1, bit.tip_flat * 2))];
  return [bit.form === "chamfer" ? one("cutting_diameter", "Cutting diameter", bit.cutting_diameter * 0.7, bit.cutting_diameter * 1.3) : null,
    bit.radius ? one("radius", "Radius", bit.radius * 0.5, bit.radius * 1.5) : null];
}

function buildFields() {
  const index = edgeOperations()[state.edge], op = operation(), bit = bitOf(op), at = `operations/${index}`;
  const first = state.first.operations[index], size = Math.max(bit.working_depth || 0, bit.radius || 0, first.depth, 1);
  const now = () => operation(), bitNow = () => bitOf(operation());
  const groups = [];
  const group = (name, ...specs) => groups.push({ name, fields: specs.filter(Boolean).map((s) => new Field(s)) });
  // What a program does stands in the program.
  if (op.kind !== "program") group("Cut",
    { path: `${at}/depth`, name: "Depth", kind: "length", read: () => now().depth, from: 0.1, to: size * 1.4, step: 0.01 },
    { path: `${at}/offset`, name: "Offset: axis off the line", kind: "length", read: () => now().offset, from: -0.2 * size, to: 0.5 * size, step: 0.01 },
    { path: `${at}/passes`, name: "Passes", kind: "passes", from: 1, to: 8, step: 1, read: () => now().pass_count ?? now().passes.length,
      note: () => passesNote(now()), written: () => (now().pass_count !== null || now().passes.length < 2 ? String(now().pass_count ?? now().passes.length) : now().passes.map(sceneNumber).join(", ")) },
    { path: `${at}/feed`, name: "Feed", kind: "feed", read: () => now().feed, from: 200, to: 8000, step: 20 },
    { path: `${at}/spindle`, name: "Spindle, rpm", kind: "plain", read: () => now().spindle, from: 3000, to: bit.max_spindle || 24000, step: 100 });
  else group("Program", ...["X", "Y"].map((axis, k) => ({ path: `${at}/place/${k}`, name: `Its zero on the sheet, ${axis}`, kind: "length",
    read: () => now().place[k], from: 0, to: state.first.size[k], step: 0.1 })));
  const bitGroup = `Bit ${bit.id}`;
  group(bitGroup, ...bitFields(bit, size, bitNow));
  group("Sheet", ...state.first.layers.map((l, i) => ({ path: `stock/layers/${i}/thickness`, name: `Layer ${l.name}`, kind: "length",
    read: () => state.settings.layers[i].thickness, from: Math.max(0.05, l.thickness * 0.4), to: l.thickness * 1.6, step: 0.01 })));
  group("What if", { path: "z_error", name: "Z zero too low by", kind: "length", read: () => state.zError, from: -0.3, to: 0.3, step: 0.005,
    own: (mm) => { state.zError = mm; } });
  fields = groups.flatMap((g) => g.fields);
  const kept = state.first.bits.find((b) => b.id === bit.id)?.kept_in;
  document.getElementById("fields").replaceChildren(...groups.filter((g) => g.fields.length)
    .map((g) => make("fieldset", {}, make("legend", {}, g.name), g.name === bitGroup && kept ? make("p", { class: "note" }, `Kept in ${kept}. What you set here is for this try; that file stays as it is.`) : null, ...g.fields.map((f) => f.box), g.name === "Cut" ? feeds.line : null)));
}
