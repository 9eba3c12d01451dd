// The live page in a real browser against the real server. Needs
// MASSETER_REPLAY=<build>/masseter_replay; screenshots go to MASSETER_SHOTS,
// else beside that program.
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { after, afterEach, before, beforeEach, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { Replay, browse } from "./replay.ts";

const shots = process.env["MASSETER_SHOTS"] ??
  join(dirname(process.env["MASSETER_REPLAY"] ?? "."), "screenshots");
const PHONE = { width: 390, height: 844 };
const LAPTOP = { width: 1366, height: 768 };

let replay: Replay;
let browser: Browser;

before(async () => {
  mkdirSync(shots, { recursive: true });
  browser = await browse();
});
beforeEach(async () => {
  replay = await Replay.start();
});
afterEach(() => replay?.stop());
after(() => browser?.close());

interface Opened {
  page: Page;
  complaints: string[];
  close: () => Promise<void>;
}

async function open(
  viewport: { width: number; height: number }, night = false,
  prepare?: (page: Page) => Promise<void>,
): Promise<Opened> {
  const context = await browser.newContext({
    viewport, colorScheme: night ? "dark" : "light", deviceScaleFactor: 2,
    reducedMotion: "no-preference",
  });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("console", (m) => {
    if (m.type() === "error" || m.type() === "warning") complaints.push(m.text());
  });
  page.on("pageerror", (e) => complaints.push(String(e)));
  if (prepare) await prepare(page);
  await page.goto(replay.url);
  await page.waitForSelector(".head h1");
  return { page, complaints, close: () => context.close() };
}

const text = async (page: Page, selector: string): Promise<string> =>
  ((await page.textContent(selector)) ?? "").replace(/\s+/g, " ").trim();

async function becomes(
  page: Page, selector: string, expected: RegExp, within_ms = 8000,
): Promise<void> {
  const until = Date.now() + within_ms;
  let got = "";
  while (Date.now() < until) {
    got = (await page.locator(selector).allTextContents()).join(" | ")
      .replace(/\s+/g, " ");
    if (expected.test(got)) return;
    await page.waitForTimeout(40);
  }
  assert.match(got, expected, selector);
}

const shot = (page: Page, name: string) =>
  page.screenshot({ path: join(shots, `${name}.png`) });

/** Pixels of the trace that have the hatching's colour. */
const hatched = (page: Page) => page.evaluate(() => {
  const canvas = document.querySelector("canvas")!;
  const hex = getComputedStyle(canvas).getPropertyValue("--hatch").trim();
  const want = [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
  const copy = document.createElement("canvas");
  [copy.width, copy.height] = [canvas.width, canvas.height];
  const pen = copy.getContext("2d", { willReadFrequently: true })!;
  pen.drawImage(canvas, 0, 0);
  const { data } = pen.getImageData(0, 0, copy.width, copy.height);
  let count = 0;
  for (let i = 0; i < data.length; i += 4) {
    if (data[i + 3]! > 200 &&
        want.every((w, k) => Math.abs(w - data[i + k]!) < 6)) count += 1;
  }
  return count;
});

/** Nothing is cut off, nothing lies over the operator's row. */
async function fits(page: Page): Promise<void> {
  const problems = await page.evaluate(() => {
    const found: string[] = [];
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth > width) found.push("scrolls sideways");
    for (const element of document.querySelectorAll(
      ".head *, .figure *, .operator button, .bite > *")) {
      const box = element.getBoundingClientRect();
      const edge = element.closest(".figure") ? 15 : 0; // the page's margin
      if (box.width > 1 && (box.right > width - edge + 0.5 || box.left < -0.5)) {
        found.push(`${element.className} leaves the screen`);
      }
    }
    for (const button of document.querySelectorAll(".operator button, .bite")) {
      const box = button.getBoundingClientRect();
      if (box.height < 56 || box.width < 56) found.push("a target under 56 px");
    }
    const figure = document.querySelector(".figure")!.getBoundingClientRect();
    const row = document.querySelector(".operator")?.getBoundingClientRect();
    if (row && (figure.bottom > row.top || row.bottom > innerHeight + 0.5)) {
      found.push("the operator's row is not in its place");
    }
    return found;
  });
  assert.deepEqual(problems, []);
}

for (const [device, viewport] of [["phone", PHONE], ["laptop", LAPTOP]] as const) {
  for (const night of [false, true]) {
    const name = `${device}-${night ? "night" : "day"}`;
    test(`The figures of a day, ${name}`, async () => {
      replay.seek(76);
      const { page, complaints, close } = await open(viewport, night);
      await becomes(page, ".figure .word", /^ready$/);
      await becomes(page, ".head h1", /^Brisk$/);
      assert.equal(await page.locator(".bite").count() >= 4, true);
      await fits(page);
      await shot(page, `${name}-1-ready`);

      replay.seek(81.6);
      await becomes(page, ".figure .label", /highest so far/);
      await becomes(page, ".figure .large", /^743 ± 6 N$/);
      await becomes(page, ".figure .more", /squeeze \d+ ± \d+ N · held 1\.6 s/);
      assert.equal(await page.getAttribute("canvas", "data-gaps"), "0");
      const before = await hatched(page);
      await fits(page);
      await shot(page, `${name}-2-bite`);

      replay.seek(84.5);
      await becomes(page, ".figure .large", /^743 ± 6 N$/);
      await becomes(page, ".figure .verdict", /^sound$/);
      await becomes(page, ".figure .under", /75\.8 kgf/);
      await shot(page, `${name}-3-measured`);

      replay.seek(110);
      await becomes(page, ".figure .verdict", /^doubtful$/);
      await becomes(page, ".figure .large", /^1 200 ± 40 N$/);
      await page.waitForSelector('canvas[data-gaps="1"]');
      const during = await hatched(page);
      assert.ok(during > before + 300, `hatched ${before} to ${during} pixels`);
      await fits(page);
      await shot(page, `${name}-4-gap`);

      await page.click('.bite[data-bite="6"]');
      await becomes(page, ".reasons", /samples missing gap.*gripped at the edge edge/);
      await becomes(page, ".sheet dl", /Squeeze.*Held.*Rise.*Impulse.*Place/);
      await shot(page, `${name}-5-evidence`);
      await page.keyboard.press("Escape");
      await page.waitForSelector(".sheet", { state: "detached" });
      await page.click('.bite[data-bite="1"]');
      await becomes(page, ".sheet .peak", /≥ \d+ N/);
      await becomes(page, ".sheet .judged", /doubtful, at least.*only a lower bound/);
      await page.keyboard.press("Escape");

      await page.click(".bydogs");
      await becomes(page, ".bydog .name", /Brisk.*Juno/);
      const told = await page.locator(".bite").count() -
        await page.locator(".bite", { hasText: "no figure" }).count();
      assert.equal(await page.locator(".bydog [data-dot]").count(), told);
      assert.match(await text(page, ".sheet ul.hidden"),
        /Brisk: .*743 plus or minus 6 newtons, sound/);
      assert.ok(await page.evaluate(() => {
        const sheet = document.querySelector(".sheet")!;
        return sheet.scrollWidth <= sheet.clientWidth;
      }), "the sheet scrolls sideways");
      await shot(page, `${name}-8-dogs`);
      await page.keyboard.press("Escape");
      await page.waitForSelector(".sheet", { state: "detached" });

      await page.click(".dots");
      await becomes(page, ".roster", /Brisk.*Juno.*Tarn.*Moss/);
      await shot(page, `${name}-6-more`);
      await page.keyboard.press("Escape");

      replay.say("silent");
      await becomes(page, ".status", /No data from the sleeve since \d\d:\d\d:\d\d/);
      assert.equal(await page.locator(".page.old").count(), 1);
      assert.ok(await page.locator(".status").isVisible());
      const top = await page.locator(".status").boundingBox();
      assert.ok(top && top.y >= 0, "the status line scrolled away");
      await shot(page, `${name}-7-stale`);
      replay.say("heard");
      await page.waitForSelector(".page:not(.old)");
      assert.doesNotMatch(await text(page, "body"), /!|psi|kPa|bar\b/);
      assert.deepEqual(complaints, []);
      await close();
    });
  }
}

test("The operator's word goes to the recorder and comes back", async () => {
  replay.seek(76);
  const { page, close } = await open(PHONE);
  await becomes(page, ".next", /^Next: Juno$/);
  await page.click(".next");
  await becomes(page, ".head h1", /^Juno$/);
  await becomes(page, ".next", /^Next: Tarn$/);
  await page.click(".out");
  await becomes(page, ".status", /Out noted/);

  await page.click(".dots");
  await page.fill('input[name="dog"]', "Fenn");
  await page.fill('input[name="mass"]', "heavy");
  await page.click(".add button");
  await becomes(page, ".wrong", /The mass in kilograms/);
  await page.fill('input[name="mass"]', "26,5");
  await page.click(".add button");
  await becomes(page, ".roster", /Fenn 26\.5 kg/);
  await page.locator(".roster button", { hasText: "Moss" }).click();
  await becomes(page, ".head h1", /^Moss$/);

  await page.click(".dots");
  await page.click(".zero");
  await becomes(page, ".figure", /finding zero/);
  await becomes(page, ".status", /Zero taken/);
  await close();
});

test("Everything can be reached by keyboard", async () => {
  replay.seek(110);
  const { page, close } = await open(PHONE);
  await becomes(page, ".bites", /1 200/);
  const reached: string[] = [];
  for (let i = 0; i < 12; ++i) {
    await page.keyboard.press("Tab");
    reached.push(await page.evaluate(() =>
      document.activeElement?.className.split(" ")[0] ?? ""));
  }
  for (const wanted of ["bite", "out", "next", "dots"]) {
    assert.ok(reached.includes(wanted), `${wanted} in ${reached}`);
  }
  await page.focus(".dots");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".sheet");
  await page.keyboard.press("Escape");
  await page.waitForSelector(".sheet", { state: "detached" });
  assert.equal(await page.evaluate(() => document.activeElement?.className), "dots");
  await close();
});

test("A new bite is told to a screen reader, an old one is not", async () => {
  replay.seek(76);
  const { page, close } = await open(PHONE);
  await becomes(page, ".bites", /Juno/);
  assert.equal(await text(page, "p[aria-live]"), "");
  replay.seek(84.5);
  await becomes(page, "p[aria-live]", /^Brisk: 743 plus or minus 6 newtons, sound/);
  await close();
});

test("An onlooker sees the same without the operator's row", async () => {
  replay.seek(110);
  const { page, close } = await open(PHONE, false, (p) =>
    p.routeWebSocket(/live/, (ws) => {
      const server = ws.connectToServer();
      server.onMessage((m) => ws.send(String(m).replace('"operator"', '"onlooker"')));
    }));
  await becomes(page, ".figure .verdict", /doubtful/);
  assert.equal(await page.locator(".operator").count(), 0);
  await close();
});

test("Silence is said, and a lost connection mends itself", async () => {
  replay.seek(84.5);
  const { page, close } = await open(PHONE);
  await becomes(page, ".figure .large", /743/);
  replay.say("mute");
  await becomes(page, ".status", /The recorder is silent since/);
  const { host } = new URL(replay.url);
  await replay.stop();
  await becomes(page, ".status", /Not connected to the recorder; trying again since/);
  await becomes(page, ".figure .large", /743/); // what was seen stays
  await shot(page, "phone-day-8-lost");
  replay = await Replay.start(host);
  replay.seek(76);
  await becomes(page, ".figure", /ready/, 15000);
  await close();
});

test("Reduced motion still shows every figure", async () => {
  replay.seek(76);
  const { page, close } = await open(PHONE);
  await page.emulateMedia({ reducedMotion: "reduce" });
  replay.seek(84.5);
  await becomes(page, ".figure .large", /743 ± 6 N/);
  await close();
});
