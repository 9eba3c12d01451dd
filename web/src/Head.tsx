// Who is up, how many bites today, and whether the measurement stands.
import { countText, duration, limitText, restOf, upOf, dayDog } from "./day.ts";
import type { Seen } from "./state.ts";
import { lightList, lightPhrase } from "./words.ts";

function Lights({ state }: { state: Seen }) {
  if (!state.now) return null;
  const phrase = lightPhrase(state.now.lights);
  return (
    <div class="lights">
      <p class={phrase === "ok" ? "brief" : "brief bad"}>{phrase}</p>
      <ul>
        {lightList(state.now.lights).map((light) => (
          <li key={light.name} class={light.ok ? "" : "bad"}
            title={light.meaning}>
            {light.name} <b>{light.word}</b>
          </li>
        ))}
      </ul>
    </div>
  );
}

/** With `choose` the name is a button: another dog may be up. */
export function Head({ state, choose }: { state: Seen; choose?: () => void }) {
  const up = upOf(state);
  const name = up || "nobody is up";
  return (
    <header class="head">
      <h1 class={`${up ? "" : "nobody"} ${choose ? "choose" : ""}`.trim()}>
        {choose
          ? (
            <button aria-haspopup="dialog" onClick={choose}>
              {name}<span class="hidden">, choose who is up</span>
            </button>
          )
          : name}
      </h1>
      {state.now && up && <p class="count">{countText(state, up)}</p>}
      <Lights state={state} />
    </header>
  );
}

/** What the dog that is up has behind it. */
export function Rest({ state }: { state: Seen }) {
  const up = upOf(state);
  const rest_s = restOf(state, up);
  const day = dayDog(state, up);
  const limit = limitText(state, up);
  if (!up || !day) return null;
  return (
    <p class="rest">
      {limit && <b class="limit">{limit}</b>}
      {rest_s !== null && state.now?.state !== "bite" && (
        <span>last bite <b>{duration(rest_s)}</b> ago</span>
      )}
      {day.up_s >= 60 && !limit && (
        <span>
          up {Math.floor(day.up_s / 60)}
          {day.limit_minutes !== null && ` of ${day.limit_minutes}`} min today
        </span>
      )}
    </p>
  );
}
