// The live page on its screens: in either unit, on a phone, several at a time, with every label free and axe-core content.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessibility, coveredLabels, folder, launch, open, openTry, serve, value } from "./browser.mjs";

const kScene = "trailhead-sign-badly.toml";
// A roundover of 1/4 in that works 0.2 in deep, run at its nominal depth.
const kInchScene = `units = "inch"
[stock]
size = [16, 10]
layers = [{ name = "board", thickness = 0.5 }]
[bits.round]
form = "point_roundover"
radius = 0.25
working_depth = 0.2
[contours.outline]
rectangle = { center = [8, 5], size = [12, 7], corner_radius = 0.6 }
[[operations]]
name = "round the rim"
kind = "edge"
bit = "round"
contour = "outline"
keep = "inside"
offset = 0
depth = 0.25
passes = 1
`;
let browser, served;
before(async () => {
  served = await serve(folder(kScene), kScene);
  browser = await launch();
});
after(async () => {
  await browser.close();
  assert.equal(await served.close(), 0);
});

const opened = (options) => openTry(browser, served.url, options);

test("a phone gets a close-up of its own, lettered in the page's unit", async () => {
  const { page, wrong } = await opened({ viewport: { width: 390, height: 844 } });
  const image = page.locator("#close-up img[src]");
  await image.waitFor({ timeout: 60000 });
  const of = () => image.evaluate((i) => [i.naturalWidth, i.naturalHeight, i.getBoundingClientRect().width, i.src]);
  const [wide, high, shown, first] = await of();
  // Square, its smallest letters of 22 px in 720 at 11 css px or more, near enough.
  assert.deepEqual([wide, high], [720, 720]);
  assert.ok(shown * 22 / 720 >= 11, `${shown}`);
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  await page.getByRole("button", { name: "inch" }).click();
  await page.waitForFunction((was) => document.querySelector("#close-up img").src !== was, first, { timeout: 60000 });
  assert.deepEqual(wrong, []);
});

test("on an inch page bare numbers and fractions are inches, and millimetres are asked about", async () => {
  const own = folder();
  writeFileSync(join(own, "inch.toml"), kInchScene);
  const server = await serve(own, "inch.toml");
  try {
    const { page, wrong } = await open(browser, server.url);
    await page.locator("[data-measure=lip] .value", { hasText: "0.0500 in" }).waitFor();
    const reads = page.getByRole("textbox", { name: /^Working depth, in/ });
    await reads.fill("5.08");
    await page.locator("#field-bits-round-working_depth-fault", { hasText: "If mm are meant, write 5.08 mm." }).waitFor();
    await reads.fill("3/16");
    await page.locator("[data-measure=lip] .value", { hasText: "0.0625 in" }).waitFor();
    await reads.fill("5.08 mm");
    await page.locator("[data-measure=lip] .value", { hasText: "0.0500 in" }).waitFor();
    assert.deepEqual(wrong, []);
  } finally {
    await server.close();
  }
});

test("no label covers another while a slider moves", async () => {
  const { page } = await opened();
  await page.locator("#whole[data-done]").waitFor({ timeout: 60000 });
  const found = new Set();
  for (const depth of ["3.2", "3.62", "3.7", "5.5"]) {
    await page.getByRole("slider", { name: "Depth, slider", exact: true }).fill(depth);
    await page.waitForFunction((d) => Math.abs(operation().depth - d) < 1e-6, Number(depth));
    for (const text of await coveredLabels(page)) found.add(text);
  }
  assert.deepEqual([...found], []);
});

test("two pages do not disturb each other", async () => {
  const one = await opened(), two = await opened();
  await one.page.getByRole("slider", { name: "Depth, slider", exact: true }).fill("4");
  await one.page.locator("[data-measure=lip] .value", { hasText: "0.380" }).waitFor();
  assert.equal(await value(two.page, "lip"), "1.380 mm");
  await two.page.getByRole("slider", { name: "Axis off the line, slider" }).fill("0.5");
  await two.page.locator("[data-measure=band] .value", { hasText: "0.000" }).waitFor();
  assert.equal(await value(two.page, "lip"), "1.380 mm");
});

for (const colorScheme of ["light", "dark"])
  for (const width of [1280, 390])
    test(`is accessible, ${colorScheme}, ${width} px wide`, async () => {
      const { page } = await opened({ colorScheme, viewport: { width, height: 900 }, bypassCSP: true });
      assert.deepEqual(await accessibility(page), []);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth));
    });
