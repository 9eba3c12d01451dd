// Today's bites of every dog as places on one force axis. A fair, plain
// picture: every figure is a dot, and nothing is estimated from them.
import { spoken } from "./format.ts";
import type { BiteMessage, Verdict } from "./messages.ts";
import { dogDays } from "./day.ts";
import type { State } from "./state.ts";

/** Sound bites from which a middle is worth a mark. */
export const FEWEST_FOR_MIDDLE = 3;

export interface Dot {
  id: number;
  force_n: number;
  verdict: Verdict;
  at_least: boolean;
}

export interface DogDots {
  dog: string;
  dots: Dot[]; // oldest first, void bites left out
  voids: number; // bites without a figure
  /** Median of the sound bites that are more than lower bounds, or null. */
  middle_n: number | null;
  /** All of it in words. */
  words: string;
}

export function median(values: number[]): number | null {
  if (values.length === 0) return null;
  const v = [...values].sort((a, b) => a - b);
  const half = v.length >> 1;
  return v.length % 2 === 1 ? v[half]! : (v[half - 1]! + v[half]!) / 2;
}

function wordsOf(bites: BiteMessage[], voids: number, middle: number | null): string {
  const parts = bites.map(({ bite }) => `${spoken(bite)}, ${bite.verdict}`);
  if (voids > 0) parts.push(`${voids} without a figure`);
  if (middle !== null) {
    parts.push(`middle of the sound ones ${middle.toFixed(0)} newtons`);
  }
  return parts.join("; ");
}

function dotsOf(dog: string, bites: BiteMessage[]): DogDots {
  const told = bites.filter(({ bite }) =>
    bite.verdict !== "void" && bite.peak_n !== null);
  const sound = told.filter(({ bite }) =>
    bite.verdict === "sound" && !bite.at_least);
  const middle_n = sound.length < FEWEST_FOR_MIDDLE
    ? null : median(sound.map(({ bite }) => bite.peak_n!));
  const voids = bites.length - told.length;
  return {
    dog, voids, middle_n, words: wordsOf(told, voids, middle_n),
    dots: told.map(({ bite }) => ({
      id: bite.id, force_n: bite.peak_n!, verdict: bite.verdict,
      at_least: bite.at_least,
    })),
  };
}

/** Dogs that bit, in roster order. */
export function dogDots(state: State): DogDots[] {
  const oldestFirst = [...state.bites].reverse();
  return dogDays(state).map(({ dog }) =>
    dotsOf(dog, oldestFirst.filter((m) => m.bite.dog === dog)))
    .filter((day) => day.dots.length + day.voids > 0);
}

/** Ticks from 0 to above the highest dot, about five. */
export function forceTicks(dogs: DogDots[]): number[] {
  const top = Math.max(1, ...dogs.flatMap((d) => d.dots.map((x) => x.force_n)));
  const rough = (top * 1.04) / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].find((s) => s * power >= rough)! * power;
  const ticks = [0];
  while (ticks[ticks.length - 1]! < top * 1.04) ticks.push(ticks.length * step);
  return ticks;
}
