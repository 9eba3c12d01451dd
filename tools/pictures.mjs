// Makes the pictures of the README anew, from the running demonstration:
//   node tools/pictures.mjs [build/masseter]
// Takes about three minutes: the day runs at its own pace. Wants Chromium (or
// MASSETER_CHROMIUM) and web/node_modules.
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, mkdirSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const { chromium } = createRequire(join(root, "web/package.json"))("playwright-core");

const program = resolve(process.argv[2] ?? join(root, "build/masseter"));
const pictures = join(root, "docs/pictures");
const folder = mkdtempSync(join(tmpdir(), "masseter-pictures-"));
const book = join(folder, "demo.book");
const report = join(folder, "day.html");

// The bite that the live pictures show as just measured.
const SHOWN = 4;

/** Starts the demonstration; its page's address and its end. */
function startDemo() {
  const child = spawn(program, ["demo", "--listen", "127.0.0.1:0", "--book", book, "--once"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  const ended = new Promise((done, fail) => {
    child.once("error", fail);
    child.once("exit", (code) =>
      code === 0 ? done() : fail(new Error(`masseter demo ended with ${code}`)));
  });
  const url = new Promise((found) => {
    createInterface({ input: child.stdout }).on("line", (line) => {
      const address = /http:\/\/\S+/.exec(line);
      if (address) found(address[0]);
    });
  });
  return { url, ended };
}

async function open(browser, url, width, height, scale) {
  const context = await browser.newContext({
    viewport: { width, height }, deviceScaleFactor: scale, colorScheme: "light",
  });
  const page = await context.newPage();
  await page.goto(url);
  return page;
}

async function takeLive(page, name) {
  await page.waitForSelector(`[data-bite="${SHOWN}"]`, { timeout: 180_000 });
  await page.waitForTimeout(400);
  await page.screenshot({ path: join(pictures, name) });
}

mkdirSync(pictures, { recursive: true });
const browser = await chromium.launch({
  executablePath: process.env["MASSETER_CHROMIUM"] ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
try {
  const demo = startDemo();
  const url = await Promise.race([demo.url, demo.ended.then(() => {
    throw new Error("the demonstration named no page");
  })]);
  const phone = await open(browser, url, 390, 844, 2);
  const laptop = await open(browser, url, 1366, 768, 1);
  await Promise.all([
    takeLive(phone, "live-phone.png"), takeLive(laptop, "live-laptop.png"),
  ]);
  await demo.ended;
  const made = spawnSync(program, ["report", book, "-o", report], { stdio: "inherit" });
  if (made.status !== 0) throw new Error("masseter report failed");
  const page = await open(browser, `file://${report}`, 1000, 830, 1);
  await page.screenshot({ path: join(pictures, "report.png") });
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
