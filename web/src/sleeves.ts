// Which of many sleeves a wall has room for.
import type { State } from "./state.ts";

const MOST = 4;

/** Those that bite now or bit last, in their own order. */
export function wallSleeves(state: State): number[] {
  const all = state.sleeves.map((_, i) => i);
  if (all.length <= MOST) return all;
  const biting = all.filter((i) => state.sleeves[i]!.now?.state === "bite");
  const last = state.bites.map((b) => b.sleeve);
  const ranked = [...new Set([...biting, ...last, ...all])];
  return ranked.slice(0, MOST).sort((a, b) => a - b);
}
