// Saving as a new scene, and files that are dropped on the page.

function dialog(title, ...content) {
  const close = () => { box.close(); box.remove(); };
  const box = make("dialog", { "aria-label": title }, make("h2", {}, title), ...content);
  document.body.append(box);
  box.addEventListener("cancel", () => setTimeout(close));
  box.showModal();
  return close;
}

function suggestedName() {
  const stem = scene.file.replace(/\.toml$/, "").replace(/-tried(-\d+)?$/, "");
  return `${stem}-tried.toml`;
}

function saveDialog() {
  const name = make("input", { type: "text", value: suggestedName(), "aria-label": "file name", autocomplete: "off",
    onkeydown: (e) => { if (e.key === "Enter") save(false); } });
  const answer = make("p", { role: "alert" });
  const over = make("button", { type: "button", class: "hidden", onclick: () => save(true) }, "Replace it");
  async function save(replace) {
    const result = await ask("/save", { ...question(), name: name.value.trim(), over: replace }).catch((e) => ({ ok: false, faults: [{ text: e.message }] }));
    over.classList.add("hidden");
    if (result.ok) {
      close();
      const own = result.own_bits.length ? ` Bit ${result.own_bits.join(", ")} stands in it with the numbers you set; ${result.bits_file} keeps its own.` : "";
      say(`Saved as ${result.name}, beside ${scene.file}.${own}${state.zError ? " The Z error is not part of it." : ""}`);
      return;
    }
    answer.textContent = result.exists ? `There is a ${result.name} already. Replace it, or write another name.` : result.faults.map((f) => f.text).join(" ");
    over.classList.toggle("hidden", !result.exists);
  }
  const close = dialog("Save as a new scene", make("label", {}, "File name", name), answer,
    make("div", { class: "tools" }, make("button", { type: "button", onclick: () => save(false) }, "Save"), over,
      make("button", { type: "button", onclick: () => close() }, "Cancel")));
}

const kDrawing = /\.(svg|dxf)$/i, kProgram = /\.(ngc|nc|tap|cnc|gcode)$/i;

async function takeFile(file) {
  if (!kDrawing.test(file.name) && !kProgram.test(file.name)) {
    say(`'${file.name}' is neither a drawing (.svg, .dxf) nor a program (.ngc, .nc, .tap, .cnc, .gcode).`);
    return;
  }
  if (file.size > 7e6) { say(`'${file.name}' is larger than 7 MB; simplify it, or write its name into the scene by hand.`); return; }
  const text = await file.text();
  const op = operation(), index = edgeOperations()[state.edge];
  const keep = async (over) => {
    const result = await ask("/dropped", { ...question(), name: file.name, text, over }).catch((e) => ({ ok: false, faults: [{ text: e.message }] }));
    if (result.ok) {
      keepForUndo(null, false);
      const drawing = kDrawing.test(result.name);
      // The operation's own figures go; edits of them would put them back.
      if (!drawing) for (const path of Object.keys(state.values)) if (path.startsWith(`operations/${index}/`)) delete state.values[path];
      state.values[result.edit.path] = result.edit.value;
      told = drawing ? `The contour '${op.contour}' is now taken from ${result.name}, kept beside the scene.`
        : `'${op.name}' now cuts what ${result.name} says (kept beside the scene), tool ${result.tool} being bit ${op.bit}; Undo takes it back.`;
      changed(null);
    } else if (result.exists) {
      const close = dialog(`Replace ${result.name}?`, make("p", {}, "A file of this name with other content stands beside the scene."),
        make("div", { class: "tools" }, make("button", { type: "button", onclick: () => { close(); keep(true); } }, "Replace it"),
          make("button", { type: "button", onclick: () => close() }, "Cancel")));
    } else say(result.faults.map((f) => f.text).join(" "));
  };
  await keep(false);
}
