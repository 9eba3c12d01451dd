// One page on the program itself: the demonstration records a simulated day
// while an operator works at it; the logbook holds what was said. Uses masseter,
// which stands beside MASSETER_REPLAY.
import assert from "node:assert/strict";
import { spawn, execFileSync, type ChildProcess } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { createInterface } from "node:readline";
import type { Browser } from "playwright-core";
import { accessible, becomes, escape, fits, more, open, PHONE, shot } from "./page.ts";
import { browse } from "./replay.ts";

const program = join(dirname(process.env["MASSETER_REPLAY"] ?? "."), "masseter");
const folder = mkdtempSync(join(tmpdir(), "masseter-page-"));
const book = join(folder, "day.book");

let browser: Browser;
let demo: ChildProcess;
let url: string;
let ended: Promise<number | null>;

before(async () => {
  browser = await browse();
  demo = spawn(program, ["demo", "--listen", "127.0.0.1:0", "--book", book], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  ended = new Promise((done) => demo.once("exit", done));
  url = await new Promise((found) => {
    createInterface({ input: demo.stdout! }).on("line", (line) => {
      const address = /http:\/\/\S+/.exec(line);
      if (address) found(address[0]);
    });
  });
});
after(async () => {
  demo.kill("SIGKILL");
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Listed {
  id: number;
  dog: string;
  verdict: string;
  reasons: { code: string; text: string }[];
}

test("An operator works at the program itself and the logbook keeps it", async () => {
  const { page, complaints, close } = await open(browser, url, PHONE);
  await page.click(".head h1 button");
  await becomes(page, ".roster", /Brisk.*Juno/);
  await page.fill('input[name="dog"]', "Fenn");
  await page.keyboard.press("Enter");
  await becomes(page, ".head h1", /^Fenn/);
  await page.click(".dots");
  await becomes(page, ".undo", /Fenn/);
  await page.click(".undo");
  await becomes(page, ".sheet .said-here", /Taken back/);
  await escape(page);

  await more(page, "order");
  await becomes(page, ".order", /1Brisk.*2Juno/);
  await page.click('[aria-label="Juno earlier"]');
  await becomes(page, ".order", /1Juno.*2Brisk/);
  await escape(page);
  await more(page, "note");
  await page.click(".chips button >> nth=0");
  await page.click(".note .wide");
  await becomes(page, ".notes", /slipped/);
  await escape(page);

  await more(page, "checks");
  await page.click(".stage-before");
  await becomes(page, ".cautions", /veterinarian.*Helper.*Lithium/);
  await page.click(".cautions .wide");
  await becomes(page, ".checks", /Link.*Supply.*Zero.*Calibration ok.*Check load to do/);
  await accessible(page, "the real checks");
  await page.click(".pass .wide");
  await becomes(page, ".sheet .lead", /closed at \d\d:\d\d:\d\d/);
  await escape(page);

  // The first bite of the day, struck out.
  await becomes(page, ".bites", /± \d/, 30000);
  await fits(page, "the real day");
  await accessible(page, "the real day");
  await shot(page, "real-1-bite");
  await page.click('.bite[data-bite="1"]');
  await page.click(".strike-out");
  await page.fill('input[name="reason"]', "a knee pressed it");
  await page.click(".why .wide");
  await becomes(page, ".sheet .judged", /voidThe operator struck this bite out/);
  await escape(page);
  assert.deepEqual(complaints, []);

  demo.kill("SIGINT");
  await ended;
  await becomes(page, ".status", /Not connected to the recorder/);
  const { bites } = JSON.parse(execFileSync(program, ["bites", book, "--json"],
    { encoding: "utf8" })) as { bites: Listed[] };
  const first = bites.find((bite) => bite.id === 1);
  assert.equal(first?.verdict, "void");
  assert.deepEqual(first?.reasons[0],
    { ...first?.reasons[0], code: "withdrawn", text: "a knee pressed it" });
  await close();
});
