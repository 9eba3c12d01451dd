// How many bites and how long up a dog may have today: someone else's word.
import { useEffect, useState } from "preact/hooks";
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

export function Limits({ state, act, show }: SheetProps) {
  const dogs = inOrder(state).map((entry) => entry.dog);
  const [dog, setDog] = useState(upOf(state) || dogs[0] || "");
  const [bites, setBites] = useState("");
  const [minutes, setMinutes] = useState("");
  const [wrong, setWrong] = useState("");
  const day = dayDog(state, dog);
  useEffect(() => {
    setBites(shown(day?.limit_bites));
    setMinutes(shown(day?.limit_minutes));
  }, [dog, day?.limit_bites, day?.limit_minutes]);
  const submit = (event: Event) => {
    event.preventDefault();
    const [most, longest] = [numberOf(bites), numberOf(minutes)];
    if (most !== null && !(Number.isInteger(most) && most > 0)) {
      return setWrong("A whole number of bites, or nothing.");
    }
    if (longest !== null && !(longest > 0)) {
      return setWrong("Minutes, or nothing.");
    }
    setWrong("");
    act({ type: "limit", dog, bites: most, minutes: longest });
  };
  const same = bites === shown(day?.limit_bites) &&
    minutes === shown(day?.limit_minutes);
  const set = state.day?.dogs.filter((d) => words(d) !== "") ?? [];
  return (
    <Sheet title="Limits" close={() => show(null)}>
      <p class="lead">
        The trainer's and the veterinarian's word; none stands unless set here.
        Nothing is blocked by it.
      </p>
      {dogs.length === 0 ? <p class="empty">The roster is empty.</p> : (
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
            {bites === "" && minutes === "" && !same ? "No limit for " : "Set for "}{dog}
          </button>
        </form>
      )}
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
