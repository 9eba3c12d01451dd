#!/usr/bin/env node
// Many sleeves at once: what recording them costs, and how old a sample is
// when the page hears of it.
//
//   node bench/live_load.mjs build/masseter [sleeves 16] [seconds 600]
//
// Plays a simulated day (`masseter sim --files`), four channels at 1000
// samples a second, over as many TCP connections as there are sleeves, again
// from the start when it ends; one page listens. At the end the answer is
// checked first: the logbook must hold every line that was sent. Then it tells
// the recorder's processor time in per cent of one core, and the percentiles
// of the time from sending a sample to the `now` message that counts it.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const program = resolve(process.argv[2] ?? "build/masseter");
const sleeves = Number(process.argv[3] ?? 16);
const seconds = Number(process.argv[4] ?? 600);
const folder = mkdtempSync(join(tmpdir(), "live-load-"));
const book = join(folder, "load.book");
const run = (...args) =>
  execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });

run("sim", "--files", folder, "--no-faults");
run("new", book, "--rig", join(folder, "rig.toml"));
run("calibrate", book, join(folder, "readings.csv"));
const lines = readFileSync(join(folder, "capture.csv"), "utf8")
  .split("\n").filter((line) => /^[0-9]/.test(line));
const header = readFileSync(join(folder, "capture.csv"), "utf8")
  .split("\n").find((line) => /^[a-z]/.test(line));

// The device's clock, seconds from the first sample, of line k of the replay.
const names = header.split(",");
const clock = lines.map((line) => Number(line.split(",")[names.indexOf("t_us")]));
const steps = clock.map((t, k) =>
  k === 0 ? 0 : ((t - clock[k - 1] + 2 ** 32) % 2 ** 32) * 1e-6);
const period = steps.reduce((a, b) => a + b, 0) / (steps.length - 1);

// One listening socket a sleeve.
const servers = [];
const sockets = [];
const connected = Array.from({ length: sleeves }, () =>
  new Promise((heard) => {
    const server = createServer((socket) => {
      socket.setNoDelay(true);
      socket.on("error", () => {});
      sockets.push(socket);
      heard();
    });
    servers.push(server);
    server.listen(0, "127.0.0.1");
  }));
await Promise.all(servers.map((s) =>
  s.listening ? 0 : new Promise((up) => s.once("listening", up))));
const from = servers.flatMap((s) => ["--from", `tcp:127.0.0.1:${s.address().port}`]);
const recorder = spawn(
  program, ["live", book, ...from, "--listen", "127.0.0.1:0", "--json"],
  { stdio: ["ignore", "pipe", "pipe"] });
let said = "";
recorder.stderr.on("data", (data) => { said += data; });
let answer = "";
recorder.stdout.on("data", (data) => { answer += data; });
await Promise.all(connected);

async function pageAddress() {
  for (let i = 0; i < 200; ++i) {
    const found = /http:\/\/(127\.0\.0\.1:\d+)/.exec(said);
    if (found) return found[1];
    await new Promise((r) => setTimeout(r, 50));
  }
  throw new Error(`no page address in: ${said}`);
}

// When line k was sent, milliseconds, and its time by the device's clock; `now`
// says up to which time it has counted.
const sentAt = new Float64Array((seconds + 60) * 1000);
const deviceTime = new Float64Array((seconds + 60) * 1000);
let sent = 0;
let sending = true;
const ages = [];

// The page's half of a WebSocket (RFC 6455): text frames and pings come in.
function listen(address) {
  const ask = request({
    host: address.split(":")[0], port: address.split(":")[1], path: "/live",
    headers: {
      Connection: "Upgrade", Upgrade: "websocket", "Sec-WebSocket-Version": 13,
      "Sec-WebSocket-Key": "bWFzc2V0ZXItbG9hZC0wMQ==", Origin: `http://${address}`,
    },
  });
  ask.on("upgrade", (_response, socket, head) => {
    let rest = head;
    const take = (data) => {
      rest = Buffer.concat([rest, data]);
      for (;;) {
        if (rest.length < 2) return;
        let size = rest[1] & 127;
        let at = 2;
        if (size === 126) { size = rest.readUInt16BE(2); at = 4; }
        if (size === 127) { size = Number(rest.readBigUInt64BE(2)); at = 10; }
        if (rest.length < at + size) return;
        const kind = rest[0] & 15;
        if (kind === 1) hear(rest.toString("utf8", at, at + size));
        // A ping wants its pong; a mask of zeros leaves the payload as it is.
        if (kind === 9) {
          socket.write(Buffer.concat([
            Buffer.from([0x8a, 0x80 | size, 0, 0, 0, 0]),
            rest.subarray(at, at + size)]));
        }
        rest = rest.subarray(at + size);
      }
    };
    socket.on("data", take);
    socket.on("error", () => {});
  });
  ask.end();
}
function hear(text) {
  const message = JSON.parse(text);
  if (message.type !== "now" || !sending || message.state === "wait") return;
  let low = 0;
  let high = sent;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (deviceTime[middle] < message.t_s - period / 2) low = middle + 1;
    else high = middle;
  }
  if (low < sent && low > 5000) ages.push(performance.now() - sentAt[low]);
}
const address = await pageAddress();
listen(address);

const cpu = () => {
  const stat = readFileSync(`/proc/${recorder.pid}/stat`, "utf8");
  const fields = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
  return (Number(fields[11]) + Number(fields[12])) / 100;
};
const start = performance.now();
const cpuStart = cpu();
for (const s of sockets) s.write(`${header}\n`);
await new Promise((done) => {
  const timer = setInterval(() => {
    const now = performance.now();
    const want = Math.min(Math.floor(now - start), seconds * 1000);
    let text = "";
    for (; sent < want; ++sent) {
      const k = sent % lines.length;
      sentAt[sent] = now;
      deviceTime[sent] = sent === 0 ? 0 :
        deviceTime[sent - 1] + (k === 0 ? period : steps[k]);
      text += `${lines[sent % lines.length]}\n`;
    }
    if (text) for (const s of sockets) s.write(text);
    if (sent >= seconds * 1000) {
      sending = false;
      clearInterval(timer);
      done();
    }
  }, 10);
});
const used = cpu() - cpuStart;
const lasted = (performance.now() - start) / 1000;
await new Promise((r) => setTimeout(r, 1000));
for (const s of sockets) s.end();
await new Promise((r) => recorder.on("exit", r));
for (const s of servers) s.close();

const status = JSON.parse(run("status", book, "--json"));
const kept = status.captures.map((c) => c.samples);
const whole = kept.length === sleeves && kept.every((n) => n === sent);
if (!whole) {
  console.error(`lost samples: ${sent} lines sent to each, kept ${kept}`);
  console.error(said.slice(-500), answer.slice(-500));
  process.exit(1);
}
ages.sort((a, b) => a - b);
const at = (p) => ages[Math.floor(p * (ages.length - 1))].toFixed(0);
console.log(`${sleeves} sleeves, ${sent} samples each, all kept`);
console.log(`recorder: ${(100 * used / lasted).toFixed(1)} % of one core`);
console.log(`sample to page, ms: median ${at(0.5)}, 95 % ${at(0.95)}, ` +
  `99 % ${at(0.99)}, longest ${at(1)} (${ages.length} messages)`);
rmSync(folder, { recursive: true, force: true });
