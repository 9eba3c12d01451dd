// Every view and sheet of both roles, on a phone by day and a laptop by night:
// nothing cut off, no grave finding of axe-core. The wall and several sleeves.
// What a first load weighs. Needs MASSETER_REPLAY.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, afterEach, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type { Share } from "../src/messages.ts";
import {
  accessible, becomes, escape, fits, LAPTOP, more, open, PHONE, SCREEN, shot, text,
  type Size,
} from "./page.ts";
import { Replay, browse } from "./replay.ts";

const share = JSON.parse(readFileSync(
  join(process.cwd(), "..", "api", "share.json"), "utf8")) as Share;

let browser: Browser;
before(async () => {
  browser = await browse();
});
afterEach(async () => {
  await Promise.all(replays.splice(0).map((replay) => replay.stop()));
});
after(() => browser?.close());

const replays: Replay[] = [];
async function play(sleeves = 1): Promise<Replay> {
  const replay = await Replay.start("127.0.0.1:0", sleeves);
  replays.push(replay);
  return replay;
}

async function looks(page: Page, name: string): Promise<void> {
  await fits(page, name);
  await accessible(page, name);
  await shot(page, name);
}

async function sheets(page: Page, name: string): Promise<void> {
  await page.click(".dots");
  await page.waitForSelector(".tiles");
  await looks(page, `${name}-more`);
  await escape(page);
  for (const tile of ["roster", "order", "note", "limits", "share"]) {
    await more(page, tile);
    if (tile === "roster") await page.fill('input[name="dog"]', "Fe");
    await looks(page, `${name}-${tile}`);
    await escape(page);
  }
  await page.click('.bite[data-bite="5"]');
  await page.click(".strike-out");
  await looks(page, `${name}-strike`);
  await escape(page);
}

async function checks(page: Page, name: string): Promise<void> {
  await more(page, "checks");
  await looks(page, `${name}-checks-none`);
  await page.click(".stage-before");
  await page.waitForSelector(".cautions");
  await looks(page, `${name}-cautions`);
  await page.click(".cautions .wide");
  await page.waitForSelector(".checks");
  await page.fill('input[name="load"]', "90");
  await page.click(".load button");
  await page.waitForSelector(".load-read");
  await looks(page, `${name}-checks`);
  await escape(page);
}

for (const [device, size, night] of [
  ["phone", PHONE, false], ["laptop", LAPTOP, true],
] as [string, Size, boolean][]) {
  test(`The operator's views are sound, ${device}`, async () => {
    const replay = await play();
    replay.seek(110);
    const { page, complaints, close } =
      await open(browser, replay.url, size, { night, says: [share] });
    await becomes(page, ".figure .verdict", /doubtful/);
    const name = `view-operator-${device}`;
    await looks(page, name);
    await sheets(page, name);
    await checks(page, name);
    replay.say("silent");
    await becomes(page, ".status", /No data from the sleeve since/);
    await looks(page, `${name}-stale`);
    assert.deepEqual(complaints, []);
    await close();
  });

  test(`The onlooker's views are sound and have no controls, ${device}`, async () => {
    const replay = await play();
    replay.seek(110);
    const { page, close } =
      await open(browser, replay.url, size, { night, onlooker: true, says: [share] });
    const name = `view-onlooker-${device}`;
    await becomes(page, ".figure .verdict", /doubtful/);
    await becomes(page, ".bites", /1 200.*Juno.*743.*Brisk/);
    await becomes(page, ".dogs", /Brisk.*2 bites.*Juno.*up now/);
    await looks(page, name);
    await page.click('.bite[data-bite="5"]');
    await becomes(page, ".sheet dl", /Squeeze/);
    await looks(page, `${name}-bite`);
    const controls = "form, input, textarea, select, .operator, .acts, .head button";
    assert.equal(await page.locator(controls).count(), 0);
    await escape(page);
    await page.click(".bydogs");
    await looks(page, `${name}-compare`);
    await escape(page);
    assert.equal(await page.locator(controls).count(), 0);
    assert.doesNotMatch(await text(page, "body"), /Next:|Take back|k=golden/);
    await close();
  });
}

/** Height of capitals in minutes of arc, at ten metres from a screen of 55
 * inches (1.21 m wide) that shows `width` pixels. */
const arcMinutes = (font_px: number, width: number): number => {
  const capital_m = 0.7 * font_px * 1.21 / width; // from memory: 0.7 em
  return Math.atan(capital_m / 10) * (180 / Math.PI) * 60;
};

test("The wall is read at ten metres and left by a key or a link", async () => {
  const replay = await play();
  replay.seek(110);
  const { page, close } = await open(browser, replay.url, SCREEN);
  await page.click(".elsewhere a");
  await becomes(page, ".wall h1", /^Juno$/);
  await becomes(page, ".wall .large", /1 200 ± 40 N/);
  await accessible(page, "wall");
  await shot(page, "wall-1");
  const sizes = await page.evaluate(() => [".wall h1", ".wall .large b",
    ".wall .verdict"].map((s) => parseFloat(
    getComputedStyle(document.querySelector(s)!).fontSize)));
  for (const size of sizes) {
    // ISO 9241-303 asks for 16 minutes of arc at least (from memory).
    assert.ok(arcMinutes(size, SCREEN.width) >= 16, `${sizes}`);
  }
  const canvas = await page.locator(".wall canvas").boundingBox();
  assert.ok(canvas && canvas.height > SCREEN.height / 5, "the trace is low");
  assert.ok(canvas && canvas.y + canvas.height <= SCREEN.height);
  await page.keyboard.press("Escape");
  await page.waitForSelector(".operator");
  await page.click(".elsewhere a");
  await page.click(".back a");
  await page.waitForSelector(".operator");
  await close();
});

test("Of several sleeves each has its tab, and actions go to the chosen", async () => {
  const replay = await play(2);
  replay.seek(112);
  const { page, close } = await open(browser, replay.url, PHONE);
  await becomes(page, ".sleeves", /1 Juno.*ok.*2 Tarn.*bite/);
  await becomes(page, ".figure .verdict", /doubtful/);
  await looks(page, "sleeves-1-phone");
  await page.click(".sleeves button >> nth=1");
  await becomes(page, ".head h1", /^Tarn/);
  await becomes(page, ".figure", /highest so far/);
  // The next dog is none that is up elsewhere.
  await becomes(page, ".next", /Next: Moss/);
  await page.click(".next");
  await becomes(page, ".sleeves", /1 Juno.*2 Moss/);
  await page.click(".dots");
  await becomes(page, ".sheet h2", /More, sleeve 2/);
  await escape(page);
  await page.click(".sleeves button >> nth=0");
  await becomes(page, ".head h1", /^Juno/);
  await close();
});

test("The wall shows up to four sleeves side by side", async () => {
  for (const sleeves of [2, 5]) {
    const replay = await play(sleeves);
    replay.seek(112);
    const { page, close } =
      await open(browser, replay.url, SCREEN, { hash: "#wall", night: true });
    const most = Math.min(4, sleeves);
    await becomes(page, ".wall .large", new RegExp("(± \\d+ N.*){" + most + "}"));
    assert.equal(await page.locator(".panel").count(), most);
    await fits(page, `wall of ${sleeves}`);
    await accessible(page, `wall of ${sleeves}`);
    await shot(page, `wall-${sleeves}`);
    const low = await page.evaluate(() =>
      [...document.querySelectorAll(".panel")].filter((panel) => {
        const canvas = panel.querySelector("canvas")!.getBoundingClientRect();
        return canvas.height < 130 ||
          canvas.bottom > panel.getBoundingClientRect().bottom + 0.5;
      }).length);
    assert.equal(low, 0, "a trace is too low");
    await close();
  }
});

test("A first load weighs at most 150 KB compressed", async () => {
  const replay = await play();
  const context = await browser.newContext({ viewport: PHONE });
  const page = await context.newPage();
  const loaded: Promise<[string, number]>[] = [];
  page.on("requestfinished", (request) => {
    loaded.push(request.sizes().then((sizes) =>
      [request.url(), sizes.responseBodySize]));
  });
  await page.goto(replay.url);
  await page.waitForSelector(".figure .large, .figure .word");
  await page.waitForLoadState("load");
  const sizes = await Promise.all(loaded);
  const kinds = sizes.map(([url]) => new URL(url).pathname.replace(/.*\./, ""));
  for (const kind of ["/", "js", "css"]) assert.ok(kinds.includes(kind), `${kinds}`);
  const sum = sizes.reduce((total, [, bytes]) => total + bytes, 0);
  assert.ok(sum > 10_000 && sum <= 150 * 1024, `${sum} bytes`);
  await context.close();
});
