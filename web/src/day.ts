// Today's dogs: who comes next, how long each has rested, whether a limit is
// reached. All times come from the recorder.
import { minutes } from "./format.ts";
import type { BiteMessage, DayDog, Dog } from "./messages.ts";
import type { Seen, State } from "./state.ts";

/** The roster in running order. */
export function inOrder(state: State): Dog[] {
  const roster = state.hello?.roster ?? [];
  const order = state.day?.order ?? [];
  const place = (dog: string) => {
    const at = order.indexOf(dog);
    return at < 0 ? order.length : at;
  };
  return [...roster].sort((a, b) => place(a.dog) - place(b.dog));
}

/** Who is up on each sleeve. */
export function everyUp(state: State): string[] {
  return state.sleeves.map((sleeve) => sleeve.now?.up ?? "")
    .filter((dog) => dog !== "");
}

export function upOf(state: Seen): string {
  return state.now?.up || (state.sleeve === 0 ? state.hello?.up ?? "" : "");
}

/** Who comes after the dog that is up and is not up elsewhere; "" for none. */
export function nextDog(state: Seen): string {
  const dogs = inOrder(state);
  const up = upOf(state);
  const busy = everyUp(state);
  const at = dogs.findIndex((entry) => entry.dog === up);
  for (let step = 1; step <= dogs.length; ++step) {
    const { dog } = dogs[(at + step) % dogs.length]!;
    if (dog !== up && !busy.includes(dog)) return dog;
  }
  return "";
}

/** The running order with one dog a place earlier (-1) or later (1). */
export function moved(order: string[], dog: string, by: -1 | 1): string[] {
  const at = order.indexOf(dog);
  const to = at + by;
  if (at < 0 || to < 0 || to >= order.length) return order;
  const next = [...order];
  next[at] = next[to]!;
  next[to] = dog;
  return next;
}

/** The running order with `dog` just before `other`; last where `other` is not
 * in it. */
export function before(order: string[], dog: string, other: string): string[] {
  if (!order.includes(dog) || dog === other) return order;
  const rest = order.filter((entry) => entry !== dog);
  const at = rest.indexOf(other);
  return at < 0 ? [...rest, dog]
    : [...rest.slice(0, at), dog, ...rest.slice(at)];
}

/** The running order with `dog` just after `up`; first where nobody is up. */
export function placeNext(order: string[], dog: string, up: string): string[] {
  const rest = order.filter((entry) => entry !== dog);
  return before(order, dog, rest[rest.indexOf(up) + 1] ?? "");
}

export function dayDog(state: State, dog: string): DayDog | null {
  return state.day?.dogs.find((entry) => entry.dog === dog) ?? null;
}

/** Seconds since the dog's last bite ended, by the recorder's clock. */
export function restOf(state: State, dog: string): number | null {
  const end = dayDog(state, dog)?.last_end_unix_s ?? null;
  const unix_s = Math.max(0, ...state.sleeves.map((s) => s.now?.unix_s ?? 0));
  return end === null || unix_s === 0 ? null : Math.max(0, unix_s - end);
}

/** "4:12", "1 h 04 min". */
export function duration(s: number): string {
  if (s < 3600) return minutes(s);
  const whole = Math.floor(s / 60);
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")} min`;
}

/** Bites of a dog today, also before a recorder says so by itself. */
export function bitesOf(state: State, dog: string): number {
  return dayDog(state, dog)?.bites ??
    state.bites.filter((b) => b.bite.dog === dog).length;
}

/** "3 bites", "3 of 6 bites". */
export function countText(state: State, dog: string): string {
  const bites = bitesOf(state, dog);
  const limit = dayDog(state, dog)?.limit_bites ?? null;
  if (limit !== null) return `${bites} of ${limit} bites`;
  return bites === 0 ? "no bite yet" : bites === 1 ? "1 bite" : `${bites} bites`;
}

/** The same in as few words as a list has room for: "3 of 6", "no bite". */
export function countShort(state: State, dog: string): string {
  return countText(state, dog).replace("no bite yet", "no bite")
    .replace(/( of .*) bites/, "$1");
}

/** "limit of 6 bites reached", or "". Nothing is blocked by it. */
export function limitText(state: State, dog: string): string {
  const day = dayDog(state, dog);
  if (!day) return "";
  if (day.limit_bites !== null && day.bites >= day.limit_bites) {
    return `limit of ${day.limit_bites} bites reached`;
  }
  if (day.limit_minutes !== null && day.up_s >= 60 * day.limit_minutes) {
    return `limit of ${day.limit_minutes} min up reached`;
  }
  return "";
}

export interface DogDay {
  dog: string;
  breed: string;
  bites: number;
  best: BiteMessage | null; // the highest figure that is not void
}

/** Today's dogs in running order, with those that bit but are not on it. */
export function dogDays(state: State): DogDay[] {
  const days = new Map<string, DogDay>();
  for (const { dog, breed } of inOrder(state)) {
    days.set(dog, { dog, breed, bites: bitesOf(state, dog), best: null });
  }
  for (const message of state.bites) {
    const { dog, peak_n, verdict } = message.bite;
    const day = days.get(dog) ??
      { dog, breed: "", bites: bitesOf(state, dog), best: null };
    days.set(dog, day);
    if (peak_n === null || verdict === "void") continue;
    if (peak_n > (day.best?.bite.peak_n ?? -Infinity)) day.best = message;
  }
  return [...days.values()];
}
