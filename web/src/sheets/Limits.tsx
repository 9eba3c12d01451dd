// How many bites and how long up a dog may have today: someone else's word.
import { useLayoutEffect, useState } from "preact/hooks";
import { dayDog, inOrder, upOf } from "../day.ts";
import { numberOf } from "../entry.ts";
import { Stepper } from "../Field.tsx";
import type { DayDog } from "../messages.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

const shown = (limit: number | null | undefined): string =>
  limit === null || limit === undefined ? "" : String(limit);

function words(day: DayDog): string {
  const bites = day.limit_bites === null ? "" : `${day.limit_bites} bites`;
  const up = day.limit_minutes === null ? "" : `${day.limit_minutes} min up`;
  return [bites, up].filter(Boolean).join(", ");
}

interface FormProps extends Pick<SheetProps, "state" | "act"> {
  dogs: string[];
}

function wrongIn(bites: number | null, minutes: number | null): string {
  if (bites !== null && !(Number.isInteger(bites) && bites > 0)) {
    return "A whole number of bites, or nothing.";
  }
  return minutes !== null && !(minutes > 0) ? "Minutes, or nothing." : "";
}

function LimitForm({ state, act, dogs }: FormProps) {
  const [dog, setDog] = useState(upOf(state) || dogs[0]!);
  const [bites, setBites] = useState("");
  const [minutes, setMinutes] = useState("");
  const [wrong, setWrong] = useState("");
  const day = dayDog(state, dog);
  const [most, longest] = [shown(day?.limit_bites), shown(day?.limit_minutes)];
  useLayoutEffect(() => {
    setBites(most);
    setMinutes(longest);
  }, [dog, most, longest]);
  const same = bites === most && minutes === longest;
  const none = bites === "" && minutes === "" && !same;
  const submit = (event: Event) => {
    event.preventDefault();
    const limit = { bites: numberOf(bites), minutes: numberOf(minutes) };
    const problem = wrongIn(limit.bites, limit.minutes);
    setWrong(problem);
    if (problem === "") act({ type: "limit", dog, ...limit });
  };
  return (
    <form class="limits" onSubmit={submit}>
      <label class="field">Dog
        <select name="dog" value={dog}
          onChange={(event) => setDog(event.currentTarget.value)}>
          {dogs.map((name) => <option key={name}>{name}</option>)}
        </select>
      </label>
      <Stepper label="Bites today" name="bites" value={bites} set={setBites} />
      <Stepper label="Minutes up today" name="minutes" value={minutes}
        set={setMinutes} />
      {wrong && <p class="wrong" role="alert">{wrong}</p>}
      <button class="wide" type="submit" disabled={same}
        aria-busy={state.waiting.includes("limit")}>
        {none ? "No limit for " : "Set for "}{dog}
      </button>
    </form>
  );
}

export function Limits({ state, act, show }: SheetProps) {
  const dogs = inOrder(state).map((entry) => entry.dog);
  const set = state.day?.dogs.filter((d) => words(d) !== "") ?? [];
  return (
    <Sheet title="Limits" close={() => show(null)}>
      <p class="lead">
        The trainer's and the veterinarian's word; none stands unless set here.
        Nothing is blocked by it.
      </p>
      {dogs.length === 0 ? <p class="empty">The roster is empty.</p>
        : <LimitForm state={state} act={act} dogs={dogs} />}
      {set.length > 0 && (
        <>
          <h3>Set today</h3>
          <ul class="plain">
            {set.map((d) => <li key={d.dog}><b>{d.dog}</b> {words(d)}</li>)}
          </ul>
        </>
      )}
    </Sheet>
  );
}
