// The live page of jobs with undercut bits and turned sheets.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessibility, cut, folder, launch, open, serve, value } from "./browser.mjs";

let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

async function tried(scene, work) {
  const dir = folder(scene), served = await serve(dir, scene);
  const { page, wrong } = await open(browser, served.url, { bypassCSP: true });
  await page.locator("[data-measure=lip]").waitFor();
  await work(page, dir);
  assert.deepEqual(wrong, []);
  assert.equal(await served.close(), 0);
}

test("a bullnose is tried at both faces, and the saved scene cuts to the same values", () => tried("shelf-bullnose.toml", async (page, dir) => {
  await page.locator(".verdict.good").waitFor();
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("19.3");
  await page.locator("[data-measure=lip] .value", { hasText: "0.300 mm" }).waitFor();
  const shown = [await value(page, "lip"), await value(page, "lip_below"), await value(page, "mismatch")];
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  // A map for a form that can miss its round, without a best setting, which nothing searches for here.
  assert.equal(await page.locator("#no-window").innerText(), "");
  assert.match(await page.locator("#window-drawing").innerHTML(), /within every wish/);
  assert.ok(!(await page.locator("#best").isVisible()));
  await page.locator(".stage[data-ready=yes]").waitFor();
  await page.waitForFunction(() => !pictureAsked && document.querySelector("#close-up img").naturalWidth > 500, null, { timeout: 60000 });
  // The walk begins at the place the measures are of, not where the line begins.
  assert.ok(await page.locator("#walk-knob input").evaluate((i) => i.value > 0));
  assert.deepEqual(await accessibility(page), []);
  await page.getByRole("button", { name: "Save as…" }).click();
  await page.getByLabel("file name").fill("low.toml");
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.locator("#message", { hasText: "Saved as low.toml" }).waitFor();
  const edge = JSON.parse(readFileSync(join(cut(dir, "low.toml"), "report.json"), "utf8")).edges[0];
  assert.deepEqual(shown, [`${edge.lip_height_mm.max.toFixed(3)} mm`, `${edge.other_face.lip_height_mm.max.toFixed(3)} mm`, `${edge.mismatch_mm.max.toFixed(3)} mm`]);
}));

test("every number of an undercut bit is a field, and a slot shows both its walls", () => tried("dovetail-slot.toml", async (page) => {
  await page.locator(".verdict.good").waitFor();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  assert.match(await page.locator("#no-window").innerText(), /'tail' is undercut and has no curve of its own/);
  assert.ok(!(await page.locator("#window-drawing").isVisible()));
  for (const name of ["Cutting diameter, mm", "Height of the flank, mm", "Angle from the axis, degrees"]) await page.getByLabel(name, { exact: true }).waitFor();
  // From wall to wall, at the floor as wide as the bit, and on the face less by twice 8.5 tan 20 deg.
  const walls = () => page.evaluate(() => { const u = (pieces, z) => Math.min(...pieces.flatMap((p) => [[p[1], p[2]], [p[3], p[4]]]).filter((q) => Math.abs(q[1] - z) < 1e-6 && Math.abs(q[0]) > 1e-6).map((q) => Math.abs(q[0])));
    return [u(state.answer.pieces, 0), u(state.answer.across, 0), u(state.answer.pieces, -8.5), u(state.answer.across, -8.5)]; });
  await page.getByRole("slider", { name: "Angle from the axis, slider", exact: true }).fill("20");
  await page.waitForFunction(() => Math.abs(state.answer.settings.bits.find((b) => b.id === "tail").numbers.find((n) => n.key === "angle").value - 20) < 1e-6);
  const face = 6.35 - 8.5 * Math.tan(20 * Math.PI / 180);
  (await walls()).forEach((u, i) => assert.ok(Math.abs(u - (i < 2 ? face : 6.35)) < 1e-4, `${u}`));
  await page.getByLabel("Height of the flank, mm", { exact: true }).fill("30");
  await page.locator(".fault", { hasText: "leaves no neck" }).waitFor();
}));

test("an edge worked from the other face is tried there, with its window", () => tried("panel-both-faces.toml", async (page) => {
  await page.getByRole("button", { name: "round the back" }).click();
  await page.getByText("Section, the lower face drawn on top").waitFor();
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("5.5");
  await page.locator("[data-measure=lip] .value", { hasText: "0.100 mm" }).waitFor();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  assert.ok(await page.locator("#window-drawing").isVisible());
  assert.equal(await page.locator("#no-window").innerText(), "");
}));
