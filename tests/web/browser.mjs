// A headless Chromium, the built program, and files of their own for each test.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, copyFileSync, existsSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, "..", "..");
export const program = process.env.OVOLO_BINARY || join(root, "build", "ovolo");
const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

export function launch(...more) {
  const path = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
  return chromium.launch({
    executablePath: path,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      ...(more.length ? more : ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"])],
  });
}

export function folder(...scenes) {
  const path = mkdtempSync(join(tmpdir(), "ovolo-web-"));
  for (const s of scenes) copyFileSync(join(root, "scenes", s), join(path, s));
  process.on("exit", () => rmSync(path, { recursive: true, force: true }));
  return path;
}

export function cut(folderPath, scene, out = "out", ...more) {
  execFileSync(program, ["cut", scene, "--out", out, "--cell", "0.5", ...more], { cwd: folderPath });
  return join(folderPath, out);
}

// `ovolo try` on a free port; close() ends it and gives its exit code.
export function serve(folderPath, scene) {
  const child = spawn(program, ["try", scene, "--port", String(20000 + Math.floor(Math.random() * 20000))], { cwd: folderPath });
  const ended = new Promise((done) => child.on("exit", (code) => done(code)));
  return new Promise((done, fail) => {
    let text = "";
    child.stdout.on("data", (d) => {
      text += d;
      const url = /http:\/\/127\.0\.0\.1:\d+\//.exec(text);
      if (url) done({ url: url[0], close: () => { child.kill("SIGINT"); return ended; } });
    });
    ended.then((code) => fail(new Error(`the program ended with ${code}`)));
  });
}

// A page that gathers what goes wrong and what it asks of the network.
export async function open(browser, url, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const wrong = [], requests = [];
  page.on("pageerror", (e) => wrong.push(String(e.stack)));
  page.on("console", (m) => { if (m.type() === "error") wrong.push(m.text()); });
  page.on("request", (r) => { if (!/^(data|blob):/.test(r.url())) requests.push(r.url()); });
  await page.goto(url);
  return { page, wrong, requests };
}

// The live page, once it has its first answer.
export async function openTry(browser, url, options) {
  const all = await open(browser, url, options);
  await all.page.locator("[data-measure=lip]").waitFor();
  return all;
}

// What a page's table of measures tells: "1.380 mm".
export const value = (page, name) => page.locator(`[data-measure=${name}] .value`).innerText();

// Labels of the page's drawings that cover one another or reach out of their drawing, by their boxes without the
// blank above and below the letters.
export function coveredLabels(page) {
  return page.evaluate(() => {
    const out = [];
    for (const drawing of document.querySelectorAll("svg.drawing")) {
      const frame = drawing.getBoundingClientRect();
      const all = [...drawing.querySelectorAll("text")].filter((t) => t.textContent).map((t) => {
        const box = t.getBoundingClientRect(), blank = 0.22 * box.height;
        return { text: t.textContent, left: box.left + 1, right: box.right - 1, top: box.top + blank, bottom: box.bottom - blank };
      });
      all.forEach((a, i) => {
        if (a.left < frame.left - 2 || a.right > frame.right + 2 || a.top < frame.top - 1 || a.bottom > frame.bottom + 1) out.push(`${a.text} is cut off`);
        for (const b of all.slice(i + 1))
          if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) out.push(`${a.text} | ${b.text}`);
      });
    }
    return out;
  });
}

// Drops a file on the page, as from the desktop.
export function drop(page, name, text) {
  return page.evaluate(([file, content]) => {
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File([content], file));
    for (const type of ["dragover", "drop"]) document.body.dispatchEvent(new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true }));
  }, [name, text]);
}

export async function accessibility(page) {
  await page.addScriptTag({ path: axe }).catch(() => null);
  if (!(await page.evaluate(() => "axe" in window))) {
    const { readFileSync } = await import("node:fs");
    await page.evaluate(readFileSync(axe, "utf8"));
  }
  const result = await page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"] }));
  return result.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => `${n.target} ${n.failureSummary}`).join(" | ")}`);
}
