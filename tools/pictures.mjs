// Makes the pictures of the README anew, from the running demonstration:
//   node tools/pictures.mjs [build/masseter] [--still]
// Takes about three minutes: the day runs at its own pace; --still takes those of
// the bench and the certificate only, in seconds. Wants Chromium (or
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

const still = process.argv.includes("--still");
const named = process.argv.slice(2).find((word) => !word.startsWith("--"));
const program = resolve(named ?? join(root, "build/masseter"));
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

function masseter(...words) {
  const said = spawnSync(program, words, { encoding: "utf8" });
  if (said.status !== 0) throw new Error(`masseter ${words[0]}: ${said.stderr}`);
}

/** The bench page asking for a load, and the certificate of the example. */
async function takeStill(browser) {
  const example = join(root, "examples/field-day");
  const bench = join(folder, "bench.book");
  masseter("new", bench, "--rig", join(example, "rig.toml"));
  masseter("calibrate", bench, join(example, "readings.csv"), "--gravity", "9.81225",
    "--weight-class", "M1", "--date", "2026-05-16");
  const sheet = join(folder, "cal.html");
  masseter("certificate", bench, "-o", sheet);
  const paper = await open(browser, `file://${sheet}`, 820, 1130, 1);
  await paper.emulateMedia({ media: "print" });
  // The margins that the printer's sheet has.
  await paper.addStyleTag({ content: "html{padding:10mm 13mm;background:#fff}" });
  await paper.screenshot({ path: join(pictures, "certificate.png") });

  const sleeve = spawn(program, ["sim", "--to", "tcp:8691", "--no-faults"], { stdio: "ignore" });
  await new Promise((done) => setTimeout(done, 600));
  const desk = spawn(program, ["readings", bench, "--from", "tcp:127.0.0.1:8691",
    "--listen", "127.0.0.1:8692"], { stdio: "ignore" });
  await new Promise((done) => setTimeout(done, 600));
  try {
    const phone = await open(browser, "http://127.0.0.1:8692/", 390, 844, 2);
    // The zero and the first loads are left out, so that a load is asked for.
    for (let k = 0; k < 3; ++k) {
      await phone.click("text=Readings…");
      await phone.click("text=Leave this load out");
      await phone.waitForTimeout(400);
    }
    await phone.screenshot({ path: join(pictures, "bench-phone.png") });
  } finally {
    desk.kill();
    sleeve.kill();
  }
}

mkdirSync(pictures, { recursive: true });
const browser = await chromium.launch({
  executablePath: process.env["MASSETER_CHROMIUM"] ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
async function takeDay() {
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
}

try {
  await takeStill(browser);
  if (!still) await takeDay();
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
