import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { accessibility, coveredLabels, cut, folder, launch, open, program, root } from "./browser.mjs";

let browser, out, url;
before(async () => {
  out = cut(folder("trailhead-sign-badly.toml"), "trailhead-sign-badly.toml");
  url = pathToFileURL(join(out, "report.html")).href;
  browser = await launch();
});
after(() => browser.close());

test("opens from disk without errors or requests, and tells what report.json tells", async () => {
  const { page, wrong, requests } = await open(browser, url);
  const report = JSON.parse(readFileSync(join(out, "report.json"), "utf8"));
  assert.match(await page.locator(".verdict .mark").first().innerText(), /Not yet/);
  const lip = await page.locator("[data-measure=lip] .value").innerText();
  assert.equal(lip, `${report.edges[0].lip_height_mm.max.toFixed(3)} mm`);
  await page.getByRole("button", { name: "inch" }).click();
  assert.equal(await page.locator("[data-measure=lip] .value").innerText(), `${(report.edges[0].lip_height_mm.max / 25.4).toFixed(4)} in`);
  // Loads and feed marks are in the file itself, as drawings.
  const plots = page.locator("figure.plot svg.plotted");
  assert.equal(await plots.count(), 2);
  for (const plot of await plots.all()) assert.ok(await plot.evaluate((i) => i.getElementsByTagName("text").length) >= 20);
  // Each cuts off by its own clips, and all of them stand on the page once.
  const clips = await page.evaluate(() => [...document.querySelectorAll("svg.plotted")].map((plot) => ({
    own: [...plot.querySelectorAll("clipPath")].map((c) => c.id),
    used: [...plot.querySelectorAll("[clip-path]")].map((e) => /#([^)]+)\)/.exec(e.getAttribute("clip-path"))[1]),
  })));
  for (const { own, used } of clips) {
    assert.ok(used.length > 0);
    assert.ok(used.every((id) => own.includes(id)));
  }
  const ids = clips.flatMap((c) => c.own);
  assert.equal(new Set(ids).size, ids.length);
  // They follow the page into the dark.
  const ground = () => plots.first().locator("rect").first().evaluate((r) => getComputedStyle(r).fill);
  const light = await ground();
  await page.getByRole("button", { name: "Light / dark" }).click();
  assert.notEqual(await ground(), light);
  assert.deepEqual(wrong, []);
  assert.deepEqual(requests, [url]);
});

test("the section is walked by keyboard", async () => {
  const { page, wrong } = await open(browser, url);
  const slider = page.getByRole("slider", { name: "Walk along the edge" });
  const place = await page.locator("#place").innerText();
  await slider.focus();
  await page.keyboard.press("Home");
  const first = await page.locator("#place").innerText();
  assert.notEqual(first, place);
  await page.keyboard.press("ArrowRight");
  assert.notEqual(await page.locator("#place").innerText(), first);
  assert.ok(await page.locator("#section-drawing path").count() > 4);
  await page.getByRole("button", { name: "Worst place" }).click();
  assert.equal(await page.locator("#place").innerText(), place);
  assert.deepEqual(wrong, []);
});

test("the solid is drawn, turns, and answers to its light", async () => {
  const { page, wrong } = await open(browser, url);
  await page.locator(".stage").scrollIntoViewIfNeeded();
  await page.locator(".stage[data-ready=yes]").waitFor();
  const picture = async () => { await page.waitForTimeout(300); return page.locator("canvas").evaluate((c) => c.toDataURL()); };
  const start = await picture();
  const shades = await page.locator("canvas").evaluate((c) => {
    const small = document.createElement("canvas");
    small.width = 64; small.height = 40;
    const ink = small.getContext("2d");
    ink.drawImage(c, 0, 0, 64, 40);
    return new Set([...new Uint32Array(ink.getImageData(0, 0, 64, 40).data.buffer)].map((v) => v & 0xf0f0f0)).size;
  });
  assert.ok(shades > 8, `only ${shades} shades`);
  await page.locator("canvas").focus();
  await page.keyboard.press("ArrowLeft");
  const turned = await picture();
  assert.notEqual(turned, start);
  await page.keyboard.press("Home");
  await page.getByRole("slider", { name: "Light from" }).fill("200");
  assert.notEqual(await picture(), start);
  assert.deepEqual(wrong, []);
});

test("an edge that folds under the face is a solid too: turned, looked at closely, lit from below", async () => {
  const path = folder(), scene = readFileSync(join(root, "scenes", "shelf-bullnose-low.toml"), "utf8");
  writeFileSync(join(path, "short.toml"), scene.replace("size = [600, 300]", "size = [60, 60]").replace("[[0, 150], [600, 150]]", "[[0, 30], [60, 30]]"));
  const { page, wrong } = await open(browser, pathToFileURL(join(cut(path, "short.toml", "out", "--no-pictures"), "report.html")).href);
  await page.locator(".stage").scrollIntoViewIfNeeded();
  await page.locator(".stage[data-ready=yes]").waitFor();
  const picture = async () => { await page.waitForTimeout(300); return page.locator("canvas").evaluate((c) => c.toDataURL()); };
  const seen = [await picture()];
  for (const name of ["turn left", "closely at the face", "closely at the foot", "reset the view"]) {
    await page.getByRole("button", { name }).click();
    seen.push(await picture());
  }
  assert.equal(new Set(seen.slice(0, 4)).size, 4);
  assert.equal(seen[4], seen[0]);
  await page.getByRole("slider", { name: "Light height" }).fill("-40");
  assert.notEqual(await picture(), seen[0]);
  // The cut across is the section: the same area, to the chords of its arcs.
  const areas = await page.evaluate(() => {
    const w = data.walk.walk[0], T = data.walk.settings.thickness;
    const points = outlineRuns(w, w.sections[0], T).flat();
    const area = points.reduce((sum, p, i) => { const q = points[(i + 1) % points.length]; return sum + (q.x * p.y - p.x * q.y) / 2; }, 0);
    const end = Math.max(...points.map((p) => p.x)), bodies = bodyHeights(w, w.sections[0], 0, end, 2000);
    let shading = 0;
    for (let i = 0; i < 2000; i++) shading += (bodies[4 * i + 1] - bodies[4 * i]) * end / 2000;
    return { area, shading, end };
  });
  // 9 mm round, its middle 9.3 mm down, cut off by the lower face at 8.7 mm below that; behind it the full 18 mm.
  const exact = (areas.end - 9) * 18 + 81 * Math.PI / 4 + (8.7 * Math.sqrt(81 - 8.7 ** 2) + 81 * Math.asin(8.7 / 9)) / 2;
  assert.ok(Math.abs(areas.area - exact) < 0.1, `${areas.area} for ${exact}`);
  assert.ok(Math.abs(areas.shading - exact) < 0.1, `${areas.shading} for ${exact}`);
  assert.deepEqual(wrong, []);
});

test("on a phone letters in pictures stay readable, tables stand as cards, and what scrolls says so", async () => {
  const { page, wrong } = await open(browser, url, { viewport: { width: 390, height: 844 } });
  const picture = page.locator(".lettered img");
  await page.waitForFunction(() => document.querySelector(".lettered img").complete);
  // The smallest letters are 22 px in 1600.
  assert.ok(await picture.evaluate((i) => i.getBoundingClientRect().width * 22 / 1600) >= 11);
  assert.match(await page.locator(".lettered .scroll").evaluate((b) => getComputedStyle(b, "::before").content), /Slide sideways/);
  for (const name of ["passes and settings", "loads", "feed marks", "operations", "checks"]) {
    const box = page.getByRole("region", { name, exact: true }).first();
    assert.ok(await box.evaluate((b) => b.scrollWidth <= b.clientWidth + 2), name);
  }
  const cell = page.getByRole("region", { name: "feed marks", exact: true }).locator("tbody td").nth(1);
  assert.equal(await cell.evaluate((c) => getComputedStyle(c, "::before").content), '"Crest"');
  assert.equal(await page.getByRole("region", { name: "measures", exact: true }).evaluate((b) => b.classList.contains("more")), false);
  assert.deepEqual(wrong, []);
});

test("a slot is a solid with both its walls and its floor", async () => {
  const path = folder("dovetail-slot.toml");
  const { page, wrong } = await open(browser, pathToFileURL(join(cut(path, "dovetail-slot.toml", "out", "--no-pictures"), "report.html")).href);
  await page.locator(".stage").scrollIntoViewIfNeeded();
  await page.locator(".stage[data-ready=yes]").waitFor();
  const found = await page.evaluate(() => {
    const w = data.walk.walk[0], T = data.walk.settings.thickness, stations = stationsOf(w), sides = outlinesAt(w, stations[w.shown], T);
    const area = sides.map((runs) => { const p = runs.flat(); return Math.abs(p.reduce((sum, a, i) => { const b = p[(i + 1) % p.length]; return sum + (a.x * b.y - b.x * a.y) / 2; }, 0)); });
    const points = sides.flat(2), low = Math.min(...points.map((p) => p.x)), high = Math.max(...points.map((p) => p.x));
    const mesh = edgeMesh(w, stations, data.walk.settings, 100, 20, () => []), lit = [];
    // The upright part of each wall's normal: out of the material on both sides.
    for (let i = 0; i < mesh.normals.length / 3; i++) {
      const z = mesh.positions[3 * i + 2];
      if (z < -1 && z > -8 && Math.abs(mesh.across[2 * i]) < 7 && mesh.across[2 * i] !== 0 && mesh.across[2 * i + 1] === 0)
        lit.push(Math.sign(mesh.across[2 * i]) * (mesh.normals[3 * i] * mesh.inward[2 * i] + mesh.normals[3 * i + 1] * mesh.inward[2 * i + 1]));
    }
    const bodies = bodyHeights(w, [...w.sections[stations[w.shown].section], ...w.sections[stations[w.shown].across]], low, high - low, 4000);
    let shading = 0;
    for (let i = 0; i < 4000; i++) for (const k of [0, 2]) shading += Math.max(0, bodies[4 * i + k + 1] - bodies[4 * i + k]) * (high - low) / 4000;
    return { area, low, high, shading, normals: [Math.min(...lit), Math.max(...lit)] };
  });
  // 12.7 mm wide at the floor, 8.5 mm down, flanks of 14 degrees, in 20 mm.
  const slot = 8.5 * (12.7 - 8.5 * Math.tan(14 * Math.PI / 180)), exact = (found.high - found.low) * 20 - slot;
  assert.ok(found.low < -7 && found.high > 7);
  assert.ok(Math.abs(found.area[0] - exact / 2) < 0.02 && Math.abs(found.area[1] - exact / 2) < 0.02, JSON.stringify(found));
  assert.ok(Math.abs(found.shading - exact) < 0.2, JSON.stringify(found));
  assert.ok(found.normals[1] < -0.9, JSON.stringify(found));
  assert.deepEqual(wrong, []);
});

// Contrast of the letters of the plots and of the window's map with what they stand on, the least of all (WCAG 2.1).
const leastContrast = (page) => page.evaluate(() => {
  const light = (color) => color.match(/[\d.]+/g).slice(0, 3).map((v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const contrast = (a, b) => { const [hi, lo] = [light(a), light(b)].sort((p, q) => q - p); return (hi + 0.05) / (lo + 0.05); };
  const paper = getComputedStyle(document.body).backgroundColor, found = [];
  for (const t of document.querySelectorAll(".plot text:not([fill='var(--ground)'])")) found.push([contrast(getComputedStyle(t).fill, paper), t.textContent]);
  for (const t of document.querySelectorAll(".window-figure text")) {
    const box = t.getBoundingClientRect(), x = box.left + box.width / 2, y = box.top + box.height / 2;
    const cell = [...document.querySelectorAll(".window-figure rect[fill^=var]")].find((r) => { const b = r.getBoundingClientRect(); return b.left <= x && x <= b.right && b.top <= y && y <= b.bottom; });
    const own = getComputedStyle(t);
    found.push([contrast(own.fill, own.stroke !== "none" ? own.stroke : cell ? getComputedStyle(cell).fill : paper), t.textContent]);
  }
  return found.sort((a, b) => a[0] - b[0])[0];
});

test("plots and map follow light and dark, legible in both, and are light on paper", async () => {
  for (const colorScheme of ["light", "dark"]) {
    const { page } = await open(browser, url, { colorScheme });
    const least = await leastContrast(page);
    assert.ok(least[0] >= 4.5, `${colorScheme}: ${least}`);
    const paper = () => page.evaluate(() => [...document.querySelectorAll(".plot svg > rect:first-of-type, .window-figure rect[fill^='var(--map-lip']")].map((r) => getComputedStyle(r).fill.match(/\d+/g).reduce((a, b) => a + Number(b), 0) / 3));
    const shades = await paper();
    assert.ok(shades.length > 2);
    for (const shade of shades) assert.ok(colorScheme === "dark" ? shade < 110 : shade > 150, `${colorScheme}: ${shade}`);
    await page.emulateMedia({ media: "print" });
    for (const shade of await paper()) assert.ok(shade > 150, `printed from ${colorScheme}: ${shade}`);
    await page.close();
  }
});

test("prints, the set-up sheet alone on one page", async () => {
  const { page } = await open(browser, url);
  const pages = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) || []).length;
  for (const format of ["A4", "Letter"]) {
    const all = await page.pdf({ format, printBackground: true });
    assert.ok(pages(all) >= 2 && pages(all) <= 5, `${pages(all)} pages`);
    await page.evaluate(() => document.body.classList.add("only-sheet"));
    assert.equal(pages(await page.pdf({ format, printBackground: true })), 1);
    await page.evaluate(() => document.body.classList.remove("only-sheet"));
  }
  // One page, and the sheet is what stands on it.
  await page.evaluate(() => document.body.classList.add("only-sheet"));
  await page.emulateMedia({ media: "print" });
  const printed = await page.locator("body").innerText();
  assert.match(printed, /Set-up sheet: Trailhead sign[\s\S]*Before the first cut[\s\S]*lip at the face[\s\S]*cut scrap first/);
  assert.doesNotMatch(printed, /Measured against your wishes|Follow the machine's manual/);
});

test("the set-up sheet of an edge that is not good offers nothing bad to tick off", async () => {
  const { page } = await open(browser, url);
  const sheet = page.locator("#set-up-sheet");
  assert.match(await sheet.locator(".verdict").innerText(), /Do not run this yet[\s\S]*Set depth from 5\.000 to 3\.5\d\d mm and offset from[\s\S]*print the sheet of that run/);
  const ticked = await sheet.locator("table").first().locator("tbody tr").evaluateAll((rows) =>
    rows.map((r) => [r.querySelector("th").textContent, !!r.querySelector(".tick")]));
  assert.equal(ticked.length, 4);
  for (const [operation, tick] of ticked) assert.equal(tick, !operation.includes("round the rim"), operation);
  assert.equal(await sheet.locator("table").last().locator(".tick").count(), 0);
  // Its row tells the setting to use instead.
  const best = await page.evaluate(() => data.windows[0].dial);
  assert.match(await sheet.locator("table").first().locator("tr", { hasText: "round the rim" }).innerText(),
    new RegExp(`${best.depth.toFixed(3)} mm, not 5\\.000 mm[\\s\\S]*${best.offset.toFixed(3)} mm, not 0\\.000 mm`));
});

test("of an undercut bit the report has a window too, with the setting that was found", async () => {
  const path = folder(), scene = readFileSync(join(root, "scenes", "shelf-bullnose-low.toml"), "utf8");
  writeFileSync(join(path, "short.toml"), scene.replace("size = [600, 300]", "size = [60, 60]").replace("[[0, 150], [600, 150]]", "[[0, 30], [60, 30]]"));
  const { page, wrong } = await open(browser, pathToFileURL(join(cut(path, "short.toml"), "report.html")).href);
  assert.match(await page.locator(".window-figure").innerText(), /within every wish/);
  assert.match(await page.locator(".window-text").innerText(), /^What to set\s+Set depth from 19\.300 to 19\.000 mm/);
  // The map says of the setting to use that it is good, and of the scene's that it is not.
  const letters = await page.evaluate(() => [{ depth: 19.3, offset: 6 }, data.windows[0].cure].map(({ depth, offset }) => {
    const map = data.windows[0], part = (v, [lo, hi], n) => Math.round((v - lo) / (hi - lo) * (n - 1));
    return map.rows[part(depth, map.depth, map.rows.length)][part(offset, map.offset, map.rows[0].length)];
  }));
  assert.deepEqual(letters, ["l", "."]);
  assert.deepEqual(wrong, []);
});

test("without WebGL a still picture stands in for the solid", async () => {
  const plain = await launch("--disable-3d-apis");
  try {
    const { page } = await open(plain, url);
    await page.locator(".stage").scrollIntoViewIfNeeded();
    await page.locator(".stage[data-ready=still]").waitFor();
    assert.ok(await page.locator(".stage img").evaluate((i) => i.naturalWidth > 500));
    assert.equal(await page.getByRole("slider", { name: "Light from" }).count(), 0);
    assert.match(await page.locator(".verdict").first().innerText(), /Not yet/);
  } finally {
    await plain.close();
  }
});

test("no label covers another, in either unit, along the whole edge, on a desk and on a phone", async () => {
  const found = new Set();
  for (const width of [1280, 390]) {
    const { page } = await open(browser, url, { viewport: { width, height: 900 } });
    for (const name of ["mm", "inch"]) {
      await page.getByRole("button", { name, exact: true }).click();
      const slider = page.getByRole("slider", { name: "Walk along the edge" });
      for (const part of [0, 0.3, 0.7]) {
        await slider.fill(String(Math.round(part * Number(await slider.getAttribute("max")))));
        for (const text of await coveredLabels(page)) found.add(`${width} ${text}`);
      }
    }
    await page.close();
  }
  assert.deepEqual([...found], []);
});

test("tells the window: what to set, and the room around it, in either unit", async () => {
  const { page, wrong } = await open(browser, url);
  const text = page.locator(".window-text");
  // The same figures, rounded the same way, as the text of `ovolo dial`.
  const dialed = execFileSync(program, ["dial", join(root, "scenes", "trailhead-sign-badly.toml"), "--out", join(out, "dial")], { encoding: "utf8" });
  const [, depth, offset] = /set depth to (\S+) mm \(\S+ in\) and offset to (\S+) mm/.exec(dialed);
  assert.match(await text.innerText(), new RegExp(`Set depth to ${depth} mm and offset to ${offset} mm`));
  assert.match(await page.locator(".verdict").first().innerText(), new RegExp(`Set depth from 5\\.000 to ${depth} mm and offset from 0\\.000 to ${offset} mm[\\s\\S]*of edges come out within every wish`));
  assert.equal(await text.locator("tbody tr").count(), 4);
  // An edge that is good only where all is as told is not called safe; what no setting can do is said first.
  const told = await page.evaluate(() => {
    const edge = { verdict: { good: true }, depth_mm: 2.57, offset_mm: 0.35 }, set_aside = [];
    const odds = (now, best, reading) => oddsOf(edge, { dial: { depth: 2.5, offset: 0.2, set_aside, chance_now: now, chance: best, chance_better_zero: best, chance_better_readings: reading } });
    const map = { ...data.windows[0], dial: { ...data.windows[0].dial, set_aside: ["face break"], cures: ["hold the sheet flat"] } };
    return [odds(0.96, 0.965, 0.99), odds(0.378, 0.387, 0.722), odds(0.938, 0.965, 0.99), windowParts(map, data.report.edges[0]).text.textContent];
  });
  assert.match(told[0], /^Nothing to change\. With your usual errors 96\.0 % of edges come out so\.$/);
  assert.match(told[1], /^But only where all is just as told.* 37\.8 %.*Three times as close a reading of the bit would make it 72\.2 %\.$/);
  assert.match(told[2], /93\.8 %.*with depth 2\.500 mm and offset 0\.200 mm it would be 96\.5 %\.$/);
  assert.match(told[3], /^No setting meets every wish\. Any one of these would do: hold the sheet flat\.Leaving face break aside: set depth/);
  await page.getByRole("button", { name: "inch" }).click();
  assert.match(await text.innerText(), /Set depth to 0\.139\d in/);
  assert.match(await page.locator("#set-up-sheet").innerText(), /Zero Z on the top face[\s\S]*the setting to use is depth 0\.139\d in/);
  assert.doesNotMatch(await page.locator("#set-up-sheet table").last().innerText(), / mm/);
  assert.deepEqual(wrong, []);
});

for (const colorScheme of ["light", "dark"])
  for (const width of [1280, 390])
    test(`is accessible, ${colorScheme}, ${width} px wide`, async () => {
      const { page } = await open(browser, url, { colorScheme, viewport: { width, height: 900 } });
      assert.deepEqual(await accessibility(page), []);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth));
    });
