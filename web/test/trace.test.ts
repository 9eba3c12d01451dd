import assert from "node:assert/strict";
import { test } from "node:test";
import type { TraceColumns } from "../src/messages.ts";
import { Trace, axisTicks, axisTop } from "../src/trace.ts";

const columns = (
  start_s: number, heights: (number | null)[], whole = false,
): TraceColumns => ({
  type: "trace", sleeve: 0, whole, start_s, column_s: 0.05,
  low_n: heights.map((h) => (h === null ? null : h - 1)), high_n: heights,
});

const kinds = (trace: Trace) =>
  trace.runs().map((r) => `${r.kind} ${r.to - r.from}`);

test("New columns join on", () => {
  const trace = new Trace();
  trace.absorb(columns(10, [1, 2], true));
  trace.absorb(columns(10.1, [3]));
  assert.equal(trace.length, 3);
  assert.equal(trace.at(2)?.high, 3);
  assert.ok(Math.abs(trace.end_s - 10.15) < 1e-9);
});

test("A column that comes twice is there once, as it came last", () => {
  const trace = new Trace();
  trace.absorb(columns(10, [1, 2], true));
  trace.absorb(columns(10.05, [7, 8]));
  assert.deepEqual([0, 1, 2].map((i) => trace.at(i)?.high), [1, 7, 8]);
});

test("Missing samples are a gap, never a line", () => {
  const trace = new Trace();
  trace.absorb(columns(0, [1, 2, null, null, 5], true));
  assert.deepEqual(kinds(trace), ["samples 2", "missing 2", "samples 1"]);
});

test("Columns that never came are no gap in the record", () => {
  const trace = new Trace();
  trace.absorb(columns(0, [1, 2], true));
  trace.absorb(columns(0.25, [5]));
  assert.deepEqual(kinds(trace), ["samples 2", "unknown 3", "samples 1"]);
});

test("Only the last seconds are held", () => {
  const trace = new Trace(1);
  trace.absorb(columns(0, Array<number>(19).fill(1), true));
  trace.absorb(columns(0.95, [2, 3, 4]));
  assert.equal(trace.length, 20);
  assert.ok(Math.abs(trace.start_s - 0.1) < 1e-9);
  assert.equal(trace.at(19)?.high, 4);
});

test("A whole trace, an earlier start or a far jump begins anew", () => {
  const trace = new Trace(1);
  trace.absorb(columns(5, [1, 2], true));
  trace.absorb(columns(5.1, [9], true));
  assert.equal(trace.length, 1);
  trace.absorb(columns(2, [1]));
  assert.equal(trace.start_s, 2);
  trace.absorb(columns(1000, [4]));
  assert.equal(trace.length, 1);
});

test("Zero is always within the extremes", () => {
  const trace = new Trace();
  trace.absorb(columns(0, [500, null, 700], true));
  assert.deepEqual(trace.extremes(), { low: 0, high: 700 });
});

test("The squeeze lies where the mean over a quarter second is highest", () => {
  const trace = new Trace();
  // A strike of 900 in the first 0.2 s must not win; the squeeze is at 0.5 s.
  const heights = [900, 900, 900, 900, 100, 100, 100, 100, 100, 100,
    600, 600, 600, 600, 600, 100, 100, 100];
  trace.absorb(columns(0, heights, true));
  const place = trace.squeezePlace(0, 0.9);
  assert.ok(place && Math.abs(place.from_s - 0.5) < 1e-9);
  assert.equal(trace.squeezePlace(0, 0.3), null);
});

test("The axis has round ticks from zero and air above the highest", () => {
  for (const high of [3, 95, 743, 962, 1180, 3400, 12345]) {
    const top = axisTop(high);
    assert.ok(top >= high);
    const ticks = axisTicks(top);
    assert.equal(ticks[0], 0);
    assert.ok(ticks.length >= 3 && ticks.length <= 5, `${high}: ${ticks}`);
  }
});
