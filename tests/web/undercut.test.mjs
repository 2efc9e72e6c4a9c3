// The live page of jobs with undercut bits and turned sheets.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessibility, cut, folder, launch, open, serve } from "./browser.mjs";

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
const value = (page, name) => page.locator(`[data-measure=${name}] .value`).innerText();

test("a bullnose is tried at both faces, and the saved scene cuts to the same values", () => tried("shelf-bullnose.toml", async (page, dir) => {
  await page.locator(".verdict.good").waitFor();
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("19.3");
  await page.locator("[data-measure=lip] .value", { hasText: "0.300 mm" }).waitFor();
  const shown = [await value(page, "lip"), await value(page, "lip_below"), await value(page, "mismatch")];
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  assert.match(await page.locator("#no-window").innerText(), /'nose9' is undercut/);
  assert.ok(!(await page.locator("#window-drawing").isVisible()));
  await page.locator(".stage[data-ready=yes]").waitFor();
  await page.waitForFunction(() => !pictureRunning && document.querySelector("#close-up img").naturalWidth > 500, null, { timeout: 60000 });
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

test("an edge worked from the other face is tried there, with its window", () => tried("panel-both-faces.toml", async (page) => {
  await page.getByRole("button", { name: "round the back" }).click();
  await page.getByText("Section, the lower face drawn on top").waitFor();
  await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("5.5");
  await page.locator("[data-measure=lip] .value", { hasText: "0.100 mm" }).waitFor();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  assert.ok(await page.locator("#window-drawing").isVisible());
  assert.equal(await page.locator("#no-window").innerText(), "");
}));
