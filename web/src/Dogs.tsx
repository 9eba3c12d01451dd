// Today's dogs in running order: how often each bit, how long it has rested,
// its highest figure.
import { Judged, Short } from "./Bites.tsx";
import {
  countShort, dogDays, duration, everyUp, limitText, restOf, type DogDay,
} from "./day.ts";
import type { State } from "./state.ts";

function Line({ state, day }: { state: State; day: DogDay }) {
  const up = day.dog !== "" && everyUp(state).includes(day.dog);
  const rest_s = restOf(state, day.dog);
  const limit = limitText(state, day.dog);
  const rested = rest_s === null ? day.breed : `rested ${duration(rest_s)}`;
  return (
    <li class={up ? "up" : ""}>
      <span class="who">
        <b>{day.dog || "nobody"}</b>
        <i class={limit ? "limit" : ""}>
          {limit || (up ? "up now" : rested)}
        </i>
      </span>
      <span class="count">{countShort(state, day.dog)}</span>
      {day.best
        ? (
          <>
            <Judged message={day.best} />
            <Short message={day.best} />
          </>
        )
        : <span class="short none">{day.bites ? "no figure" : ""}</span>}
    </li>
  );
}

export function Dogs({ state }: { state: State }) {
  const days = dogDays(state);
  return (
    <section class="dogs" aria-label="Today's dogs">
      <h2>Today's dogs <small>highest, N</small></h2>
      {days.length === 0 && <p class="empty">The roster is empty.</p>}
      <ul>
        {days.map((day) => <Line key={day.dog} state={state} day={day} />)}
      </ul>
      <p class="caution">
        The highest of a few bites says little about who bites harder; the
        report says how much.
      </p>
    </section>
  );
}
