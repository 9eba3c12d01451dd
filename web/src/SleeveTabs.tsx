// Several sleeves: one tab each, with who is up and whether it stands. With one
// sleeve there is none of this.
import type { State } from "./state.ts";
import { lightPhrase } from "./words.ts";

interface Props {
  state: State;
  chosen: number;
  choose: (sleeve: number) => void;
}

function wordOf(state: State, sleeve: number): { word: string; bad: boolean } {
  const now = state.sleeves[sleeve]?.now;
  if (!now) return { word: "no data", bad: true };
  if (now.state === "bite") return { word: "bite", bad: false };
  const phrase = lightPhrase(now.lights);
  return { word: phrase, bad: phrase !== "ok" };
}

export function Sleeves({ state, chosen, choose }: Props) {
  return (
    <nav class="sleeves" aria-label="Sleeves">
      {state.sleeves.map((sleeve, i) => {
        const { word, bad } = wordOf(state, i);
        return (
          <button key={i} aria-pressed={i === chosen}
            title={state.hello?.sleeves[i]?.name ?? ""}
            onClick={() => choose(i)}>
            <span>{i + 1} <b>{sleeve.now?.up || "nobody"}</b></span>
            <i class={bad ? "bad" : ""}>{word}</i>
          </button>
        );
      })}
    </nav>
  );
}
