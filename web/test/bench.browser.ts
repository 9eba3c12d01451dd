// The bench page in a real browser: the built program (beside MASSETER_REPLAY)
// reads a sleeve that this test plays over TCP. Pictures go to MASSETER_SHOTS.
import assert from "node:assert/strict";
import { spawn, execFileSync, type ChildProcess } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type AddressInfo, type Server, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { createInterface } from "node:readline";
import type { Browser, Page } from "playwright-core";
import { accessible } from "./page.ts";
import { browse } from "./replay.ts";

const build = dirname(process.env["MASSETER_REPLAY"] ?? ".");
const program = join(build, "masseter");
const shots = process.env["MASSETER_SHOTS"] ?? join(build, "screenshots");
const RIG = `[rig]
name = "Two cells"
sample_rate_hz = 100
[text]
separator = ","
columns = ["t_ms", "c1", "c2"]
[[channel]]
name = "c1"
x_mm = -40.0
y_mm = 0.0
capacity_n = 1000.0
[[channel]]
name = "c2"
x_mm = 40.0
y_mm = 0.0
capacity_n = 1000.0
`;

/** A sleeve that prints 100 lines a second. */
class Sleeve {
  level = 0;
  swings = 0;
  private silent = false;
  private socket: Socket | null = null;
  private server: Server;
  private timer: NodeJS.Timeout;

  constructor() {
    let line = 0;
    const start = Date.now();
    this.server = createServer((socket) => {
      this.socket = socket;
      socket.on("error", () => {});
    });
    this.timer = setInterval(() => {
      const due = (Date.now() - start) / 10;
      let text = "";
      while (line < due) {
        const noise = ((line * 7919) % 13) - 6;
        const swing = this.swings * Math.sin(line / 9);
        text += `${line * 10},${Math.round(1000 + this.level + noise + swing)},` +
          `${Math.round(2000 + this.level - noise + swing)}\n`;
        line += 1;
      }
      if (!this.silent) this.socket?.write(text);
    }, 20);
  }
  listen(): Promise<number> {
    return new Promise((resolve) => this.server.listen(0, "127.0.0.1", () =>
      resolve((this.server.address() as AddressInfo).port)));
  }
  mute(silent: boolean): void {
    this.silent = silent;
  }
  stop(): void {
    clearInterval(this.timer);
    this.socket?.destroy();
    this.server.close();
  }
}

let folder: string;
let sleeve: Sleeve;
let source: string;
let browser: Browser;
let running: ChildProcess | null = null;

before(async () => {
  mkdirSync(shots, { recursive: true });
  folder = mkdtempSync(join(tmpdir(), "masseter-bench-"));
  writeFileSync(join(folder, "rig.toml"), RIG);
  execFileSync(program, ["new", join(folder, "b.book"), "--rig", join(folder, "rig.toml")]);
  sleeve = new Sleeve();
  source = `tcp:127.0.0.1:${await sleeve.listen()}`;
  browser = await browse();
});
after(async () => {
  running?.kill("SIGKILL");
  await browser?.close();
  sleeve?.stop();
  rmSync(folder, { recursive: true, force: true });
});

const desk = (more: string[], listen = "127.0.0.1:0") =>
  start(["readings", "--csv", join(folder, "r.csv"), ...more], listen);

/** Starts a desk; its page's address and its end. */
function start([command, ...more]: string[], listen = "127.0.0.1:0") {
  const child = spawn(program, [command!, join(folder, "b.book"), "--from", source,
    "--window", "0.4", "--listen", listen, ...more],
  { stdio: ["ignore", "pipe", "inherit"] });
  running = child;
  const ended = new Promise<number | null>((done) => child.once("exit", done));
  const url = new Promise<string>((found) => {
    createInterface({ input: child.stdout! }).on("line", (line) => {
      const address = /Bench page: (\S+)/.exec(line);
      if (address) found(address[1]!);
    });
  });
  return { url, ended };
}

async function says(page: Page, selector: string, expected: RegExp): Promise<void> {
  const until = Date.now() + 10000;
  let got = "";
  while (Date.now() < until) {
    got = ((await page.locator(selector).first().textContent().catch(() => "")) ?? "")
      .replace(/\s+/g, " ");
    if (expected.test(got)) return;
    await page.waitForTimeout(40);
  }
  assert.match(got, expected, selector);
}

const shot = (page: Page, name: string) =>
  page.screenshot({ path: join(shots, `bench-${name}.png`) });

test("One person goes through a plan on the page", async () => {
  const { url, ended } = desk(["--masses", "5,10", "--places", "0,0", "--series", "1",
    "--patience", "2"]);
  const context = await browser.newContext({
    viewport: { width: 390, height: 844 }, deviceScaleFactor: 2,
  });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("pageerror", (e) => complaints.push(String(e)));
  page.on("console", (m) => {
    if (m.type() === "error") complaints.push(m.text());
  });
  await page.goto(await url);

  // Zero first; the large button is as large as gloves want it.
  await says(page, ".band", /To begin:/);
  await says(page, ".asked .load", /Take all off/);
  for (const button of await page.locator(".keys > button").all()) {
    const box = await button.boundingBox();
    assert.ok(box && box.height >= 56, `${box?.height} px high`);
  }
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 390);
  await page.click(".keys .main");
  await says(page, ".band", /Reading 1 recorded/);
  await says(page, ".asked .load", /^5 kg$/);
  await shot(page, "phone-1-asking");
  await accessible(page, "phone-1-asking");

  // A load that swings does not settle and is taken at a word.
  sleeve.level = 4000;
  sleeve.swings = 400;
  await page.click(".keys .main");
  await says(page, ".band", /Hands off\. Settling/);
  await shot(page, "phone-2-settling");
  await says(page, ".band", /Does not settle/);
  await says(page, ".keys .main", /Take it as it is/);
  await shot(page, "phone-3-impatient");
  sleeve.swings = 0;
  await says(page, ".band", /Reading 2 recorded/);

  // By keyboard.
  await says(page, ".asked .load", /^10 kg$/);
  sleeve.level = 8000;
  await page.keyboard.press("Enter");
  await says(page, ".band", /Reading 3 recorded/);

  // Struck out with a reason, and asked for again.
  await page.click("text=Readings…");
  await page.click(".readings li:has(b:text-is('2')) button");
  await shot(page, "phone-4-strike");
  await accessible(page, "phone-4-strike");
  await page.click("text=it leaned");
  await says(page, ".asked .load", /^5 kg$/);
  await says(page, ".said", /struck out: it leaned/);
  sleeve.level = 4000;
  await page.click(".keys .main");
  await says(page, ".band", /Reading 4 recorded/);
  await says(page, ".head .count", /3 of 5/);

  // A silent sleeve is said, and nothing can be pressed meanwhile.
  sleeve.mute(true);
  await says(page, ".band", /No data from the sleeve since/);
  assert.ok(await page.locator(".keys .main").isDisabled());
  await shot(page, "phone-5-silent");
  await accessible(page, "phone-5-silent");
  sleeve.mute(false);
  await says(page, ".band", /recorded\. Next/);

  // Stopped from the page; what was read is kept.
  await page.click("text=Readings…");
  await page.click("text=Stop here");
  await says(page, ".band", /Stopped\. 3 of 5 readings/);
  assert.equal(await ended, 0);
  const csv = readFileSync(join(folder, "r.csv"), "utf8");
  assert.match(csv, /^# .*it leaned/m);
  assert.deepEqual(complaints.filter((c) => !/WebSocket|ERR_CONNECTION/.test(c)), []);
  await context.close();
});

test("The same command goes on, and an open page with it", async () => {
  const first = desk([]);
  const url = await first.url;
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
  const page = await context.newPage();
  await page.goto(url);
  await says(page, ".band", /Reading 4 recorded/);
  await shot(page, "laptop-1-asking");
  running!.kill("SIGKILL");
  await says(page, ".band", /Not connected to the recorder; trying again/);
  await first.ended;
  const again = desk([], new URL(url).host);
  await says(page, ".band", /Reading 4 recorded/);
  sleeve.level = 4000;
  await page.click(".keys .main");
  await says(page, ".band", /Reading 5 recorded/);
  sleeve.level = 0;
  await page.click(".keys .main");
  await says(page, ".band", /The plan is done/);
  await shot(page, "laptop-2-done");
  await accessible(page, "laptop-2-done");
  assert.equal(await again.ended, 0);
  await context.close();
});

test("A check load is taken on the same page", async () => {
  execFileSync(program, ["calibrate", join(folder, "b.book"), join(folder, "r.csv"),
    "--gravity", "9.81"]);
  sleeve.level = 0;
  const { url, ended } = start(["check", "--mass", "10"]);
  const page = await browser.newPage();
  await page.goto(await url);
  await says(page, ".head h1", /^Check load$/);
  await says(page, ".asked .load", /Take all off/);
  await page.click(".keys .main");
  await says(page, ".asked .load", /^10 kg$/);
  sleeve.level = 8000;
  await page.click(".keys .main");
  await says(page, ".asked .load", /Take all off/);
  sleeve.level = 0;
  await page.click(".keys .main");
  await says(page, ".band", /Within tolerance: the sleeve reads 98\.\d N/);
  assert.equal(await ended, 0);
  await page.close();
});
