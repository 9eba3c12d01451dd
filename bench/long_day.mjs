#!/usr/bin/env node
// A long day of many sleeves, faster than real time: does memory stay flat, is
// every sample in the logbook, is every bite found?
//
//   node bench/long_day.mjs build/masseter [sleeves 16] [hours 8]
//
// Each sleeve is a TCP connection that plays a simulated day (`masseter sim
// --files`, four channels at 1000 samples a second, 18 bites) again and again
// as fast as the recorder takes it; where it begins anew the device's counter
// and clock fall back, which is a restart. Checked at the end: the logbook holds
// every line of every sleeve, every sleeve has the same number of bites, and it
// is the number of one day times the days, but for two at each seam. Then it
// tells the time and the recorder's resident memory, sampled five times a
// second: after the first tenth, at the end, and the most.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "build/masseter");
const sleeves = Number(process.argv[3] ?? 16);
const hours = Number(process.argv[4] ?? 8);
const folder = mkdtempSync(join(tmpdir(), "long-day-"));
const book = join(folder, "day.book");
const run = (...args) =>
  execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 28 });

run("sim", "--files", folder, "--no-faults");
run("new", book, "--rig", join(folder, "rig.toml"));
run("calibrate", book, join(folder, "readings.csv"));
const text = readFileSync(join(folder, "capture.csv"), "utf8");
const body = Buffer.from(text.split("\n")
  .filter((line) => /^[0-9]/.test(line)).join("\n") + "\n");
const rows = body.reduce((n, byte) => n + (byte === 10 ? 1 : 0), 0);
const days = Math.max(1, Math.round((hours * 3600000) / rows));

// Bites of one day by itself.
const single = join(folder, "single.book");
run("new", single, "--rig", join(folder, "rig.toml"));
run("calibrate", single, join(folder, "readings.csv"));
run("import", single, join(folder, "capture.csv"));
const bitesOfADay = JSON.parse(run("bites", single, "--json")).bites.length;

const servers = Array.from({ length: sleeves }, () =>
  createServer((socket) => {
    socket.on("error", () => {});
    let left = days;
    const play = () => {
      while (left > 0) {
        --left;
        if (!socket.write(body)) return socket.once("drain", play);
      }
      socket.end();
    };
    play();
  }).listen(0, "127.0.0.1"));
await Promise.all(servers.map((s) =>
  s.listening ? 0 : new Promise((up) => s.once("listening", up))));
const from = servers.flatMap((s) =>
  ["--from", `tcp:127.0.0.1:${s.address().port}`]);

const begun = Date.now();
const recorder = spawn(program,
  ["live", book, ...from, "--no-page", "--reconnect", "0", "--json"],
  { stdio: ["ignore", "pipe", "ignore"] });
let said = "";
recorder.stdout.on("data", (piece) => { said += piece; });
const resident = [];
const watch = setInterval(() => {
  try {
    const status = readFileSync(`/proc/${recorder.pid}/status`, "utf8");
    const kb = /VmRSS:\s+(\d+)/.exec(status);
    if (kb) resident.push(Number(kb[1]) / 1024);
  } catch { /* it has ended */ }
}, 200);
await new Promise((ended) => recorder.on("close", ended));
clearInterval(watch);
const seconds = (Date.now() - begun) / 1000;
for (const server of servers) server.close();

const fail = (why) => { console.error(`long_day: ${why}`); process.exitCode = 1; };
const answer = JSON.parse(said);
const captures = JSON.parse(run("status", book, "--json")).captures;
const expected = rows * days;
if (captures.length !== sleeves) fail(`${captures.length} recordings`);
for (const c of captures) {
  if (c.samples !== expected) fail(`${c.samples} of ${expected} samples`);
  if (c.bites !== captures[0].bites) fail("sleeves differ in their bites");
  if (Math.abs(c.bites - bitesOfADay * days) > 2 * (days - 1)) {
    fail(`${c.bites} bites, ${bitesOfADay * days} expected`);
  }
}
if (answer.samples !== expected * sleeves) fail("the answer counts wrong");
const mb = (x) => x.toFixed(0);
const tenth = resident[Math.floor(resident.length / 10)];
const played = (expected / 1000) / 3600;
console.log(`${sleeves} sleeves, ${played.toFixed(2)} h each, ` +
  `${answer.samples} samples, ${answer.bites} bites in ${seconds.toFixed(0)} s`);
console.log(`resident: ${mb(tenth)} MB after a tenth, ` +
  `${mb(resident.at(-1))} MB at the end, ${mb(Math.max(...resident))} MB most`);
console.log(`logbook: ${mb(statSync(book).size / 1e6)} MB`);
rmSync(folder, { recursive: true });
