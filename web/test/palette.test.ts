// Contrast by WCAG 2.2's definition of relative luminance and contrast ratio:
// 7:1 for figures and ordinary words, 4.5:1 for the verdicts' words, 3:1 for
// graphical marks (success criteria 1.4.6, 1.4.3, 1.4.11).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { KNOWN_REASONS, reasonWords } from "../src/words.ts";

const css = readFileSync("src/style/palette.css", "utf8");

function palette(night: boolean): Record<string, string> {
  const from = night ? css.indexOf("prefers-color-scheme: dark") : css.indexOf(":root");
  const block = css.slice(from, css.indexOf("}", from));
  return Object.fromEntries(
    [...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6})/g)].map((m) => [m[1], m[2]]));
}

function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((i) => {
    const c = parseInt(colour.slice(i, i + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [dark = 0, light = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

for (const night of [false, true]) {
  test(`The ${night ? "night" : "day"} palette is readable`, () => {
    const p = palette(night);
    const paper = p["paper"] ?? "";
    const least: [string, number][] = [
      ["ink", 7], ["sound", 4.5], ["doubtful", 4.5], ["void", 7],
      ["soft", night ? 7 : 6.5], ["hatch", 3],
    ];
    for (const [name, ratio] of least) {
      const got = contrast(p[name] ?? "", paper);
      assert.ok(got >= ratio, `${name}: ${got.toFixed(2)}`);
    }
    for (const under of ["band", "fill", "strike"]) {
      assert.ok(contrast(p["ink"] ?? "", p[under] ?? "") >= 7, under);
    }
  });
}

test("Every reason has its words and no exclamation mark", () => {
  // src/core/bite/bite.h, and `withdrawn`, which is the operator's.
  assert.equal(KNOWN_REASONS.length, 17);
  for (const code of KNOWN_REASONS) {
    const { short, meaning } = reasonWords(code);
    assert.ok(short.length > 0 && short.length <= 24, code);
    assert.match(meaning, /^[A-Z].*\.$/);
    assert.doesNotMatch(short + meaning, /!/);
  }
});
