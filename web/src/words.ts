// The page's words: what a club understands first, with the term behind it.
import type { Bite, Lights, Verdict } from "./messages.ts";

interface ReasonWords {
  /** A few words for a list line. */
  short: string;
  /** One line that says what it means for the figure. */
  meaning: string;
}

const REASONS: Record<string, ReasonWords> = {
  gap: { short: "samples missing",
    meaning: "The recording has a hole here; a higher force could hide in it." },
  restart: { short: "power lost",
    meaning: "The sleeve switched off and on again; what came between was not measured." },
  sag: { short: "supply low",
    meaning: "The battery voltage fell so far that the electronics may fail or restart." },
  rail: { short: "out of scale",
    meaning: "The converter stood at the end of its scale; the true force was higher." },
  overload: { short: "overloaded",
    meaning: "A cell was loaded beyond its capacity; its figures from here on need a check load." },
  stuck: { short: "a cell stood still",
    meaning: "One cell gave the same value over and over; its share of the force is unknown." },
  glitch: { short: "impossible readings",
    meaning: "Single samples that no jaw can produce; they were left out." },
  loose: { short: "a loose contact",
    meaning: "One channel made and broke contact; parts of the force are missing." },
  zero: { short: "zero moved",
    meaning: "Unloaded, the sleeve no longer read nothing; the figure may be off by as much." },
  slow: { short: "sampled too slowly",
    meaning: "The force rose faster than the sleeve samples; the true peak may be higher." },
  edge: { short: "gripped at the edge",
    meaning: "The grip lay outside the area that was calibrated." },
  odd: { short: "cells disagree",
    meaning: "No single grip loads the cells like this; something else touched or bent the sleeve." },
  motion: { short: "sleeve was moving",
    meaning: "The sleeve's own acceleration adds a force that is no bite." },
  uncalibrated: { short: "not calibrated",
    meaning: "There is no calibration for this sleeve as it is built now." },
  stale: { short: "calibration out of date",
    meaning: "The last calibration or check load is too long ago." },
  withdrawn: { short: "struck out",
    meaning: "The operator struck this bite out; what was measured is kept." },
  place: { short: "place not seen",
    meaning: "This sleeve cannot tell where it was gripped, and that changes its reading." },
};

export function reasonWords(code: string): ReasonWords {
  return REASONS[code] ?? { short: code, meaning: "" };
}
export const KNOWN_REASONS = Object.keys(REASONS);

/** What a verdict says of the figure beside it. */
export const VERDICT_MEANING: Record<Verdict, string> = {
  sound: "Nothing was found against this figure.",
  doubtful: "A figure with a widened interval; see why below.",
  void: "No honest figure can be given for this bite; see why below.",
};

export const STRUCK_MEANING =
  "The operator struck this bite out; it does not count.";

export const AT_LEAST_MEANING =
  "Part of the force was not seen: only a lower bound is known.";

/** A list line's note: the first reason, or the squeeze. */
export function leadReason(bite: Bite): string {
  const first = bite.reasons[0];
  return first ? reasonWords(first.code).short : "";
}

export interface Light {
  name: "link" | "supply" | "zero";
  word: string;
  ok: boolean;
  meaning: string;
}

const LIGHT_MEANING: Record<string, string> = {
  "link ok": "Samples arrive from the sleeve.",
  "link late": "Samples arrive late or with holes.",
  "link lost": "No samples arrive from the sleeve.",
  "supply ok": "The sleeve's battery is high enough.",
  "supply low": "The sleeve's battery is low: it may restart in a bite.",
  "supply unknown": "This sleeve does not report its battery.",
  "zero ok": "The zero is known.",
  "zero wait": "The zero is being taken; leave the sleeve alone.",
  "zero moved": "The zero has moved; take it anew between two bites.",
};

export function lightList(lights: Lights): Light[] {
  return (["link", "supply", "zero"] as const).map((name) => {
    const word = lights[name];
    return {
      name, word, meaning: LIGHT_MEANING[`${name} ${word}`] ?? "",
      ok: word === "ok" || word === "unknown",
    };
  });
}

/** All lights as one phrase: "ok", or what is not: "supply low". */
export function lightPhrase(lights: Lights): string {
  const bad = lightList(lights).filter((light) => !light.ok);
  return bad.length === 0
    ? "ok" : bad.map((light) => `${light.name} ${light.word}`).join(", ");
}
