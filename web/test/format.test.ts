import assert from "node:assert/strict";
import { test } from "node:test";
import {
  clock, figure, figureText, fixed, minutes, placeOf, seconds, spoken,
  withUncertainty,
} from "../src/format.ts";

const thin = "\u2009";

test("A value ends at the place of its uncertainty", () => {
  const cases: [number, number, string][] = [
    [743.1, 6.2, "743 ± 6 N"],
    [743.1, 12.4, "743 ± 12 N"],
    [743.1, 1.24, "743.1 ± 1.2 N"],
    [743.1, 0.62, "743.1 ± 0.6 N"],
    [512.0, 38.4, "510 ± 40 N"],
    [512.0, 24.6, "512 ± 25 N"],
    [1412.3, 151.0, `1${thin}410 ± 150 N`],
    [1449.0, 351.0, `1${thin}400 ± 400 N`],
    [743.1, 0.96, "743.1 ± 1.0 N"],
    [743.1, 9.7, "743 ± 10 N"],
    [743.1, 2.97, "743 ± 3 N"],
    [0.4, 3.0, "0 ± 3 N"],
  ];
  for (const [peak_n, peak_u95_n, text] of cases) {
    assert.equal(figureText({ peak_n, peak_u95_n }), text);
  }
});

test("The place follows the first digit", () => {
  assert.equal(placeOf(6.2), 0);
  assert.equal(placeOf(1.0), 1);
  assert.equal(placeOf(2.9), 1);
  assert.equal(placeOf(3.0), 0);
  assert.equal(placeOf(0.1), 2);
  assert.equal(placeOf(100), -1);
  assert.equal(placeOf(300), -2);
  assert.equal(placeOf(0), 0);
  assert.equal(placeOf(NaN), 0);
});

test("A kilogram-force is 9.80665 newtons", () => {
  // SI Brochure, 9th edition: standard acceleration of gravity.
  assert.equal(figure({ peak_n: 743.1, peak_u95_n: 6.2 }).kgf, "75.8 kgf");
  assert.equal(figure({ peak_n: 980.665, peak_u95_n: 98.0665 }).kgf, "100 kgf");
});

test("A lower bound is never rounded up and has no other end", () => {
  const bound = { peak_n: 812.9, peak_u95_n: null, at_least: true };
  assert.equal(figureText(bound), "≥ 812 N");
  assert.equal(spoken(bound), "at least 812 newtons");
});

test("A void bite has no figure, whatever was read", () => {
  const bite = { peak_n: 400, peak_u95_n: 5, verdict: "void" };
  assert.equal(figureText(bite), "no figure");
});

test("An interval that is not symmetric shows both ends", () => {
  assert.equal(figureText({
    peak_n: 812, peak_u95_n: 40, peak_lo_n: 804.2, peak_hi_n: 888.1,
  }), "812 804 to 888 N");
});

test("An unknown uncertainty is not made up", () => {
  assert.equal(figureText({ peak_n: 743.4, peak_u95_n: null }), "743 N");
  assert.equal(withUncertainty(688, null), "688 N");
});

test("A screen reader hears words", () => {
  assert.equal(spoken({ peak_n: 1412.3, peak_u95_n: 6 }),
    "1412 plus or minus 6 newtons");
});

test("Numbers do not depend on a language", () => {
  assert.equal(fixed(-3.2, 0), "\u22123");
  assert.equal(fixed(-0.2, 0), "0");
  assert.equal(fixed(12345.6, 1), `12${thin}345.6`);
  assert.equal(seconds(2.85), "2.9 s");
  assert.equal(seconds(0.099), "0.099 s");
  assert.equal(seconds(0.25), "0.25 s");
  assert.equal(minutes(84.9), "1:24");
  assert.equal(clock(new Date(2026, 0, 1, 4, 7, 9)), "04:07:09");
});
