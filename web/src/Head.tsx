// Who is up, how many bites today, and whether the measurement stands.
import type { State } from "./state.ts";
import { lightList, lightPhrase } from "./words.ts";

export function Head({ state }: { state: State }) {
  const { now, hello } = state;
  const up = now?.up || hello?.up || "";
  return (
    <header class="head">
      <h1 class={up ? "" : "nobody"}>{up || "nobody is up"}</h1>
      {now && up && (
        <p class="count">
          {now.bites_up === 0 ? "no bite yet"
            : now.bites_up === 1 ? "1 bite" : `${now.bites_up} bites`}
        </p>
      )}
      {now && (
        <div class="lights">
          <p class={lightPhrase(now.lights) === "ok" ? "brief" : "brief bad"}>
            {lightPhrase(now.lights)}
          </p>
          <ul>
            {lightList(now.lights).map((light) => (
              <li key={light.name} class={light.ok ? "" : "bad"}
                title={light.meaning}>
                {light.name} <b>{light.word}</b>
              </li>
            ))}
          </ul>
        </div>
      )}
    </header>
  );
}
