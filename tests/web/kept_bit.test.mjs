// The live page of a scene whose bits stand in a bits file of their own.
import assert from "node:assert/strict";
import { cpSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { cut, folder, launch, open, root, serve, value } from "./browser.mjs";

const kScene = "trailhead-from-drawing.toml";
let browser, dir, served;
before(async () => {
  dir = folder(kScene);
  for (const name of ["bits", "drawings"]) cpSync(join(root, "scenes", name), join(dir, name), { recursive: true });
  served = await serve(dir, kScene);
  browser = await launch();
});
after(async () => {
  await browser.close();
  assert.equal(await served.close(), 0);
});

const slider = (page, name) => page.getByRole("slider", { name: `${name}, slider`, exact: true });

async function saved(page, name) {
  await page.getByRole("button", { name: "Save as…" }).click();
  await page.getByLabel("file name").fill(name);
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.locator("#message", { hasText: `Saved as ${name}` }).waitFor();
  return JSON.parse(readFileSync(join(cut(dir, name, `out-${name}`), "report.json"), "utf8")).edges[0];
}

test("a kept bit's numbers are turned for the try, saved in the new scene, and never written to its file", async () => {
  const { page, wrong } = await open(browser, served.url);
  await page.locator("[data-measure=lip]").waitFor();
  const kept = readFileSync(join(dir, "bits/shop.toml"), "utf8");
  await page.getByText("Kept in bits/shop.toml").waitFor();
  await slider(page, "Working depth").fill("3.4");
  await page.locator("[data-measure=lip] .value", { hasText: "0.160 mm" }).waitFor();
  await slider(page, "Tip flat, across").fill("0.7");
  await page.locator("[data-measure=band] .value", { hasText: "0.100 mm" }).waitFor();
  const shown = [await value(page, "lip"), await value(page, "band"), await value(page, "foot_depth"), await value(page, "wall_break")];
  const edge = await saved(page, "worn.toml");
  assert.match(await page.locator("#message").innerText(), /Bit round5 stands in it with the numbers you set; bits\/shop\.toml keeps its own/);
  assert.deepEqual(shown, [`${edge.lip_height_mm.max.toFixed(3)} mm`, `${edge.band_width_mm.max.toFixed(3)} mm`,
    `${edge.foot_depth_mm.max.toFixed(3)} mm`, `${edge.wall_break_deg.max.toFixed(1)}°`]);
  assert.equal(readFileSync(join(dir, "bits/shop.toml"), "utf8"), kept);
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: "Undo" }).click();
  await page.locator("[data-measure=lip] .value", { hasText: "0.000 mm" }).waitFor();
  await page.getByRole("textbox", { name: /^Working depth/ }).fill("7");
  await page.locator("#field-bits-round5-working_depth-fault", { hasText: "radius" }).waitFor();
  assert.deepEqual(wrong, []);
});

test("the passes have a slider, and a list ends at the depth however that is written", async () => {
  const { page, wrong } = await open(browser, served.url);
  await page.locator("[data-measure=lip]").waitFor();
  await page.getByRole("textbox", { name: /^Depth, mm/ }).fill("1/8 in");
  await page.locator("[data-measure=foot_depth] .value", { hasText: "3.011 mm" }).waitFor();
  assert.equal(await page.getByRole("textbox", { name: /^Passes/ }).inputValue(), "2.4, 3.175");
  await slider(page, "Passes").fill("3");
  await page.waitForFunction(() => operation().passes.length === 3);
  assert.equal(await page.getByRole("textbox", { name: /^Passes/ }).inputValue(), "3");
  const text = (await saved(page, "three.toml"), readFileSync(join(dir, "three.toml"), "utf8"));
  assert.match(text, /^passes = 3$/m);
  assert.doesNotMatch(text, /\[bits/);
  await page.getByRole("textbox", { name: /^Passes/ }).fill("2.4, 3");
  await page.locator("#field-operations-0-passes-fault", { hasText: "depth" }).waitFor();
  assert.deepEqual(wrong, []);
});
