import assert from "node:assert/strict";
import { test } from "node:test";
import { dogDots, forceTicks, median } from "../src/dots.ts";
import type { Bite, BiteMessage } from "../src/messages.ts";
import { initialState, type State } from "../src/state.ts";

const bite = (id: number, dog: string, peak_n: number | null,
  change: Partial<Bite> = {}): BiteMessage => ({
  type: "bite", sleeve: 0, squeeze_u95_n: null, spark: [], clock: "",
  bite: {
    id, dog, start_s: 0, end_s: 1, duration_s: 1, peak_n, peak_u95_n: 6,
    peak_lo_n: null, peak_hi_n: null, peak_at_s: null, strike_n: null,
    squeeze_n: null, squeeze_u95_n: null, held_n: null, impulse_ns: null,
    rise_s: null, loading_rate_n_s: null, regrips: 0, shake_hz: null,
    held_cv: null, out_s: null, x_mm: null, y_mm: null, verdict: "sound",
    at_least: false, reasons: [], ...change,
  },
});
const day = (...bites: BiteMessage[]): State =>
  ({ ...initialState(), bites: [...bites].reverse() });

test("Every figure is a dot, a void bite is counted and none", () => {
  const dogs = dogDots(day(
    bite(1, "Brisk", 700), bite(2, "Brisk", 500, { verdict: "doubtful" }),
    bite(3, "Brisk", 900, { verdict: "void" }), bite(4, "Juno", 640),
    bite(5, "Brisk", null, { verdict: "void" })));
  const brisk = dogs.find((d) => d.dog === "Brisk")!;
  assert.deepEqual(brisk.dots.map((d) => d.id), [1, 2]);
  assert.equal(brisk.voids, 2);
  assert.match(brisk.words, /700 plus or minus 6 newtons, sound; .*doubtful; 2 without a figure/);
  assert.equal(dogs.find((d) => d.dog === "Juno")!.dots.length, 1);
});

test("The middle is that of three sound bites or more, without bounds", () => {
  const few = dogDots(day(bite(1, "a", 400), bite(2, "a", 500)))[0]!;
  assert.equal(few.middle_n, null);
  const enough = dogDots(day(bite(1, "a", 400), bite(2, "a", 500),
    bite(3, "a", 450), bite(4, "a", 2000, { verdict: "doubtful" }),
    bite(5, "a", 3000, { at_least: true })))[0]!;
  assert.equal(enough.middle_n, 450);
  assert.equal(median([1, 2, 10, 4]), 3);
  assert.equal(median([]), null);
});

test("The axis begins at zero and holds the highest dot", () => {
  for (const top of [0.4, 99, 743, 1200, 6400]) {
    const ticks = forceTicks(dogDots(day(bite(1, "a", top))));
    assert.equal(ticks[0], 0);
    assert.ok(ticks[ticks.length - 1]! >= top);
    assert.ok(ticks.length >= 2 && ticks.length <= 6, `${ticks}`);
  }
});
