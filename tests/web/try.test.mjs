import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { cut, drop, folder, launch, open, openTry, root, serve, value } from "./browser.mjs";

const kScene = "trailhead-sign-badly.toml";
let browser, dir, served;
before(async () => {
  dir = folder(kScene);
  served = await serve(dir, kScene);
  browser = await launch();
});
after(async () => {
  await browser.close();
  assert.equal(await served.close(), 0);
});

const opened = (options) => openTry(browser, served.url, options);

test("a slider moves, the edge answers, and the saved scene cuts to the same values", async () => {
  const { page, wrong, requests } = await opened();
  assert.equal(await value(page, "lip"), "1.380 mm");
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("3.55");
  await page.getByRole("slider", { name: "Axis off the line, slider" }).fill("0.4");
  await page.locator(".verdict.good").waitFor();
  const shown = { lip: await value(page, "lip"), band: await value(page, "band"), foot: await value(page, "foot_depth"), wall: await value(page, "wall_break") };
  await page.getByRole("button", { name: "Save as…" }).click();
  await page.getByLabel("file name").fill("better.toml");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved as better.toml").waitFor();
  const edge = JSON.parse(readFileSync(join(cut(dir, "better.toml"), "report.json"), "utf8")).edges[0];
  assert.equal(edge.depth_mm, 3.55);
  assert.deepEqual(shown, { lip: `${edge.lip_height_mm.max.toFixed(3)} mm`, band: `${edge.band_width_mm.max.toFixed(3)} mm`,
    foot: `${edge.foot_depth_mm.max.toFixed(3)} mm`, wall: `${edge.wall_break_deg.max.toFixed(1)}°` });
  const was = readFileSync(join(dir, kScene), "utf8").split("\n"), is = readFileSync(join(dir, "better.toml"), "utf8").split("\n");
  assert.equal(is.length, was.length);
  assert.equal(was.filter((line, i) => line !== is[i]).length, 2);
  await page.getByRole("button", { name: "Save as…" }).click();
  await page.getByLabel("file name").fill("better.toml");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("There is a better.toml already").waitFor();
  await page.getByRole("button", { name: "Cancel" }).click();
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: "Undo" }).click();
  // The first step back breaks a wish too, so the verdict alone does not tell that both have been answered.
  await page.locator("[data-measure=lip] .value", { hasText: "1.380 mm" }).waitFor();
  assert.equal(await page.locator(".verdict.good").count(), 0);
  assert.deepEqual(wrong, []);
  assert.ok(requests.every((r) => r.startsWith(served.url)));
});

test("feed and speed change marks, load and time while they move, and the saved scene cuts to the same", async () => {
  const { page, wrong } = await opened();
  const shop = (key) => page.locator(`[data-shop=${key}]`).innerText();
  await page.locator("[data-shop=crest]").waitFor({ timeout: 60000 });
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  const was = { chip: await shop("chip"), crest: await shop("crest"), drawn: await page.locator("#marks-drawing path").first().getAttribute("d") };
  await page.getByRole("slider", { name: "Spindle, rpm, slider" }).fill("12000");
  await page.getByRole("slider", { name: "Feed, slider" }).fill("3000");
  await page.locator("[data-shop=chip]", { hasText: "0.125 mm" }).waitFor();
  // The edge itself is as it was: nothing is drawn anew for it.
  assert.equal(await page.locator("#whole.stale").count(), 0);
  assert.notEqual(await shop("chip"), was.chip);
  assert.notEqual(await page.locator("#marks-drawing path").first().getAttribute("d"), was.drawn);
  await page.locator("#save").click();
  await page.getByLabel("file name").fill("faster.toml");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved as faster.toml").waitFor();
  const all = JSON.parse(readFileSync(join(cut(dir, "faster.toml"), "report.json"), "utf8")).shop;
  const own = all.passes.filter((p) => p.operation === "round the rim"), marks = all.finish[0].marks, hard = own[0].power_w;
  const trim = (v, digits) => String(Number(v.toFixed(digits)));
  assert.equal(own.length, 1);
  assert.equal(await shop("pitch"), `${(25.4 / marks.marks_per_inch).toFixed(3)} mm apart, ${trim(marks.marks_per_inch, 1)} an inch`);
  assert.equal(await shop("crest"), `${trim(marks.tallest_mm * 1000, 1)} µm`);
  assert.equal(await shop("power"), `${trim(hard.value, 0)} W (${trim(hard.low, 0)} W to ${trim(hard.high, 0)} W)`);
  const seconds = all.time.operations.find((o) => o.operation === "round the rim").seconds;
  assert.ok((await shop("time")).startsWith(`${seconds.toFixed(1)} s of `), await shop("time"));
  assert.deepEqual(wrong, []);
});

test("a program or drawing of no use is refused and not kept", async () => {
  const { page, wrong } = await opened();
  await drop(page, "bad.nc", "G21 G90\nT1 M6\nG1 X10 Q\nM2\n");
  await page.locator("#message", { hasText: "bad.nc:3:" }).waitFor();
  await drop(page, "open.svg", '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="250mm" viewBox="0 0 400 250"><path d="M50 50H350V200"/></svg>');
  await page.locator("#message", { hasText: "open.svg" }).waitFor();
  assert.ok(!readdirSync(dir).some((name) => /^(bad|open)/.test(name)));
  assert.deepEqual(wrong, []);
});

test("bad values are refused in place, with the reason", async () => {
  const { page, wrong } = await opened();
  await page.locator("#set-so").waitFor({ timeout: 60000 });
  const depth = page.getByRole("textbox", { name: /^Depth, mm/ });
  await depth.fill("deep");
  await page.locator(".fault", { hasText: "is not a length" }).waitFor();
  assert.equal(await depth.getAttribute("aria-invalid"), "true");
  // The figures that stand there are told apart from an answer to it.
  assert.ok(await page.evaluate(() => getComputedStyle(document.getElementById("verdict"), "::before").content.includes("refused")));
  // A setting found for this bit and sheet mends it with one press.
  await page.getByRole("button", { name: "Set it so" }).waitFor();
  // A bare fraction is in the page's unit.
  await depth.fill("25/8");
  await page.locator("[data-measure=foot_depth] .value", { hasText: "3.125" }).waitFor();
  await depth.fill("1/8 in");
  await page.locator("[data-measure=foot_depth] .value", { hasText: "3.175" }).waitFor();
  assert.equal(await depth.getAttribute("aria-invalid"), null);
  // What a value makes wrong elsewhere is told at that value.
  await page.getByRole("slider", { name: "Layer core, slider" }).fill("2.6");
  await page.locator("#field-stock-layers-1-thickness-fault", { hasText: /^`depth` of operation "bolt hole.*"cut out" is 13.2 mm: deeper than the sheet/ }).waitFor();
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("textbox", { name: /^Z zero too low by/ }).fill("-127");
  await page.locator("#field-z_error-fault", { hasText: "5.000 mm at most" }).waitFor();
  assert.deepEqual(wrong, []);
});

test("a place in the window is set by a click, the whole job follows", async () => {
  const { page, wrong } = await opened();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  assert.ok(await page.locator("#close-up img").evaluate((i) => i.naturalWidth > 500));
  const map = page.locator("#window-drawing");
  await map.click({ position: { x: 200, y: 100 } });
  await page.locator(".field.changed").first().waitFor();
  assert.notEqual(await value(page, "lip"), "1.380 mm");
  // One press takes the setting with the best chance.
  await page.getByRole("button", { name: /^Set to the best: 3\.5\d+ mm deep/ }).click();
  await page.locator(".verdict.good").waitFor();
  assert.equal(await value(page, "lip"), "0.000 mm");
  assert.deepEqual(wrong, []);
});

test("the verdict says the one setting to use, and one press sets it", async () => {
  const { page, wrong } = await opened();
  const set = page.getByRole("button", { name: "Set it so" });
  await set.waitFor({ timeout: 60000 });
  assert.match(await page.locator(".verdict .cure").innerText(), /^Set depth from 5\.000 to 3\.5\d+ mm and offset from 0\.000 to 0\.4\d+ mm\.$/);
  // In sight without scrolling.
  await page.waitForFunction(() => document.getElementById("set-so")?.getBoundingClientRect().y < 400);
  // It still is the one to use while only the setting is turned.
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("4.5");
  await page.locator(".verdict .cure", { hasText: "Set depth from 4.500 to 3.5" }).waitFor();
  await set.click();
  await page.locator(".verdict.good").waitFor();
  assert.equal(await page.locator(".whole-verdict").count(), 0);
  // An error in Z is no setting: the depth stays, and the verdict says where the fault lies.
  const depth = page.getByRole("textbox", { name: /^Depth, mm/ }), was = await depth.inputValue();
  await page.getByRole("textbox", { name: /^Z zero too low by/ }).fill("0.2 mm");
  await page.locator(".verdict .cure", { hasText: "That is with Z zero 0.200 mm too low: zero it again" }).waitFor();
  assert.equal(await depth.inputValue(), was);
  // The file's name is taken with Enter as well.
  await page.locator("#save").click();
  await page.getByLabel("file name").fill("by-enter.toml");
  await page.keyboard.press("Enter");
  await page.getByText("Saved as by-enter.toml").waitFor();
  assert.deepEqual(wrong, []);
});

test("a program dropped on the page is placed by its zero", async () => {
  const { page, wrong } = await opened();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  await drop(page, "placed.nc", readFileSync(join(root, "scenes", "programs", "trailhead-rim.ngc"), "utf8"));
  await page.locator(".fault", { hasText: "set where its zero lies on the sheet" }).waitFor();
  await page.getByRole("textbox", { name: /^Its zero on the sheet, X/ }).fill("50");
  await page.getByRole("textbox", { name: /^Its zero on the sheet, Y/ }).fill("35");
  await page.locator(".verdict.good").waitFor();
  await page.locator("#window-title", { hasText: "what to aim the program at" }).waitFor({ timeout: 60000 });
  assert.equal(await page.getByRole("button", { name: /^Set to the best/ }).count(), 0);
  await page.locator("#best-chance", { hasText: "Aim the program at 3.5" }).waitFor({ timeout: 60000 });
  assert.deepEqual(wrong, []);
});

test("drawings dropped on the page become the contour", async () => {
  const { page, wrong } = await opened();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  const svg = '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="250mm" viewBox="0 0 400 250"><rect x="60" y="50" width="280" height="150" rx="20"/></svg>';
  await drop(page, "rim.svg", svg);
  await page.getByText("'outline' is now taken from rim.svg").waitFor();
  const dxf = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", "4", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES", "0", "CIRCLE", "8", "RIM",
    "10", "200", "20", "125", "40", "90", "0", "ENDSEC", "0", "EOF", ""].join("\n");
  await drop(page, "round.dxf", dxf);
  await page.getByText("'outline' is now taken from round.dxf").waitFor();
  assert.deepEqual(await page.evaluate(() => state.settings.contours.find((c) => c.id === "outline").segments.map((s) => s[7])), [90]);
  await drop(page, "broken.svg", "<svg><path d='M0 0L");
  await page.locator("#message", { hasText: "broken.svg" }).waitFor();
  assert.ok(!readdirSync(dir).includes("broken.svg"));
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: "Undo" }).click();
  await page.waitForFunction(() => state.settings.contours.find((c) => c.id === "outline").segments.length === 8);
  assert.deepEqual(wrong, []);
});

test("everything is done without a mouse", async () => {
  const { page, wrong } = await opened({ viewport: { width: 390, height: 844 } });
  const focused = (name) => page.evaluate((n) => document.activeElement.getAttribute("aria-label") === n || document.activeElement.id === n, name);
  const tabTo = async (name) => {
    for (let i = 0; i < 60 && !(await focused(name)); i++) await page.keyboard.press("Tab");
    assert.ok(await focused(name), `Tab does not reach ${name}`);
  };
  await tabTo("Depth, slider");
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowLeft");
  await page.locator("[data-measure=lip] .value", { hasText: "1.350 mm" }).waitFor();
  for (let i = 0; i < 3; i++) await page.keyboard.press("Control+z");
  await page.locator("[data-measure=lip] .value", { hasText: "1.380 mm" }).waitFor();
  await page.locator("#window-drawing text").first().waitFor();
  await page.locator("#window-drawing").focus();
  await page.keyboard.press("ArrowUp");
  await page.locator("[data-measure=lip] .value", { hasText: "1.360 mm" }).waitFor();
  await page.locator("#save").focus();
  await page.keyboard.press("Enter");
  await page.getByRole("dialog").waitFor();
  await page.keyboard.press("Escape");
  await page.getByRole("dialog").waitFor({ state: "detached" });
  assert.deepEqual(wrong, []);
});

test("a chosen program makes the edge, undo takes it back, and a file of no use is refused", async () => {
  const { page, wrong } = await opened();
  const choose = (name, text) => page.locator("#drawing-file").setInputFiles({ name, mimeType: "text/plain", buffer: Buffer.from(text) });
  await choose("notes.doc", "x");
  await page.getByText("neither a drawing").waitFor();
  const rim = `G21 G90 G17\nT1 M6\nS18000 M3\nG0 Z10\nG0 X200 Y34.6\nG1 Z-3.55 F600\nG1 X335 F1500\nG3 X350.4 Y50 I0 J15.4\nG1 Y200
G3 X335 Y215.4 I-15.4 J0\nG1 X65\nG3 X49.6 Y200 I0 J-15.4\nG1 Y50\nG3 X65 Y34.6 I15.4 J0\nG1 X200\nG0 Z10\nM2\n`;
  await choose("rim.ngc", rim);
  await page.getByText("now cuts what rim.ngc says").waitFor();
  await page.locator("[data-measure=foot_depth] .value", { hasText: "2.970" }).waitFor();
  await page.getByRole("button", { name: "Undo" }).click();
  await page.locator("[data-measure=lip] .value", { hasText: "1.380" }).waitFor();
  await choose("rim.ngc", `${rim}(other)\n`);
  await page.getByRole("dialog").waitFor();
  await page.getByRole("button", { name: "Cancel" }).click();
  assert.equal(readFileSync(join(dir, "rim.ngc"), "utf8"), rim);
  assert.deepEqual(wrong, []);
});

test("nothing was written but what was saved or dropped", () => {
  assert.deepEqual(readdirSync(dir).sort(), ["better.toml", "by-enter.toml", "faster.toml", "out", "placed.nc", "rim.ngc", "rim.svg", "round.dxf", kScene].sort());
});
