// Starts the replayed day and a browser for the browser test.
import { spawn, type ChildProcess } from "node:child_process";
import { after, afterEach, before, beforeEach } from "node:test";
import { createInterface } from "node:readline";
import { chromium, type Browser } from "playwright-core";

function needed(name: string): string {
  const value = process.env[name];
  if (!value) throw new Error(`${name} must name the masseter_replay program`);
  return value;
}

export class Replay {
  private constructor(
    private readonly child: ChildProcess, readonly url: string,
  ) {}

  static start(listen = "127.0.0.1:0", sleeves = 1): Promise<Replay> {
    const child = spawn(needed("MASSETER_REPLAY"), [listen, String(sleeves)], {
      stdio: ["pipe", "pipe", "inherit"],
    });
    return new Promise((resolve, reject) => {
      child.once("error", reject);
      child.once("exit", () => reject(new Error("the replay did not start")));
      createInterface({ input: child.stdout! })
        .once("line", (line) => resolve(new Replay(child, line.trim())));
    });
  }

  /** One command of masseter_replay. */
  say(command: string): void {
    this.child.stdin!.write(`${command}\n`);
  }

  /** A standing moment of the day. */
  seek(t_s: number): void {
    this.say("hold");
    this.say(`seek ${t_s}`);
  }

  stop(): Promise<void> {
    return new Promise((resolve) => {
      this.child.once("exit", () => resolve());
      this.child.stdin!.end();
    });
  }
}

export function browse(): Promise<Browser> {
  return chromium.launch({
    executablePath: process.env["MASSETER_CHROMIUM"] ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update",
      "--disable-sync",
    ],
  });
}

/** A browser for all tests of a file, and for each a day replayed anew. */
export function stage(): { browser: Browser; replay: Replay } {
  const on = {} as { browser: Browser; replay: Replay };
  before(async () => {
    on.browser = await browse();
  });
  beforeEach(async () => {
    on.replay = await Replay.start();
  });
  afterEach(() => on.replay?.stop());
  after(() => on.browser?.close());
  return on;
}
