// How long the live page waits for its answers while a knob moves, with all else the page asks for going on: the depth
// moves for 0.3 s, rests for 0.5 to 1 s, twelve times. Tells ratios to a knob that moves with nothing beside it.
// Usage: node tests/web/latency.mjs [SCENE...]      names in scenes/, after tests/setup.sh has built build/ovolo
import { folder, launch, open, serve } from "./browser.mjs";

const scenes = process.argv.length > 2 ? process.argv.slice(2) : ["trailhead-sign.toml", "warped-door.toml", "panel-both-faces.toml", "dovetail-slot.toml"];

// Waiting times in ms, rising. quiet: the page asks for nothing but the edge's quick answer.
async function moved(browser, url, quiet) {
  const { page } = await open(browser, url);
  await page.locator("#whole[data-done]").waitFor({ timeout: 120000 });
  if (quiet)
    for (const path of ["window", "whole", "best", "picture", "shop"]) await page.route(`**/${path}`, (route) => route.abort());
  const times = await page.evaluate(async () => {
    const slider = document.querySelector("#fields input[type=range]"), live = document.getElementById("live"), out = [];
    new MutationObserver(() => out.push(Number(live.dataset.milliseconds))).observe(live, { attributes: true, attributeFilter: ["data-milliseconds"] });
    const start = Number(slider.value), wait = (ms) => new Promise((done) => setTimeout(done, ms));
    for (let k = 0; k < 12; k++) {
      for (let i = 0; i < 10; i++) {
        slider.value = start - 0.01 * ((10 * k + i) % 30 + 1);
        slider.dispatchEvent(new Event("input", { bubbles: true }));
        await wait(30);
      }
      slider.dispatchEvent(new Event("change", { bubbles: true }));
      await wait(500 + 40 * k);
    }
    return out;
  });
  await page.context().close();
  return times.sort((a, b) => a - b);
}

const browser = await launch("--disable-3d-apis");
console.log("scene                      answers   half within   95 % within   the same with nothing beside it   ratios");
for (const scene of scenes) {
  const server = await serve(folder(scene), scene);
  const busy = await moved(browser, server.url, false), alone = await moved(browser, server.url, true);
  const at = (times, part) => times[Math.min(times.length - 1, Math.floor(times.length * part))];
  const ms = (v) => `${v.toFixed(0)} ms`;
  console.log(scene.padEnd(26), String(busy.length).padStart(7), ms(at(busy, .5)).padStart(13), ms(at(busy, .95)).padStart(13),
    `${ms(at(alone, .5))}, ${ms(at(alone, .95))}`.padStart(32), `  ${(at(busy, .5) / at(alone, .5)).toFixed(2)}, ${(at(busy, .95) / at(alone, .95)).toFixed(2)}`);
  await server.close();
}
await browser.close();
