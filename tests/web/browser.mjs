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

export function launch() {
  const path = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
  return chromium.launch({
    executablePath: path,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
  });
}

export function folder(...scenes) {
  const path = mkdtempSync(join(tmpdir(), "ovolo-web-"));
  for (const s of scenes) copyFileSync(join(root, "scenes", s), join(path, s));
  process.on("exit", () => rmSync(path, { recursive: true, force: true }));
  return path;
}

export function cut(folderPath, scene, out = "out") {
  execFileSync(program, ["cut", scene, "--out", out, "--cell", "0.5"], { cwd: folderPath });
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

export async function accessibility(page) {
  await page.addScriptTag({ path: axe }).catch(() => null);
  if (!(await page.evaluate(() => "axe" in window))) {
    const { readFileSync } = await import("node:fs");
    await page.evaluate(readFileSync(axe, "utf8"));
  }
  const result = await page.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"] }));
  return result.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => `${n.target} ${n.failureSummary}`).join(" | ")}`);
}
