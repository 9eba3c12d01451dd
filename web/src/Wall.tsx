// For a screen on a wall, read at ten metres: name, figure, verdict, trace.
// Several sleeves stand side by side, at most four: those that bit last.
import { countText, limitText, upOf } from "./day.ts";
import { Figure } from "./Figure.tsx";
import { wallSleeves } from "./sleeves.ts";
import { seen, type Seen, type State } from "./state.ts";
import { TraceView } from "./TraceView.tsx";
import { lightPhrase } from "./words.ts";

function One({ state, old }: { state: Seen; old: string | null }) {
  const up = upOf(state);
  const limit = limitText(state, up);
  const phrase = state.now ? lightPhrase(state.now.lights) : "ok";
  const several = state.sleeves.length > 1;
  return (
    <section class={old ? "panel old" : "panel"}
      aria-label={several ? `Sleeve ${state.sleeve + 1}` : "The sleeve"}>
      <header>
        <h1 class={up ? "" : "nobody"}>{up || "nobody is up"}</h1>
        {up && (
          <p class={limit ? "count limit" : "count"}>
            {limit || countText(state, up)}
          </p>
        )}
        {!old && phrase !== "ok" && <p class="bad">{phrase}</p>}
      </header>
      {old && <p class="since" role="status">{old}</p>}
      <Figure state={state} />
      <TraceView state={state} />
    </section>
  );
}

interface Props {
  state: State;
  oldOf: (sleeve: number) => string | null;
}

export function Wall({ state, oldOf }: Props) {
  const shown = wallSleeves(state);
  return (
    <main class={`wall of${shown.length}`}>
      <div class="panels">
        {shown.map((i) => (
          <One key={i} state={seen(state, i)} old={oldOf(i)} />
        ))}
      </div>
      <p class="back"><a href="#">Back to the page</a></p>
      <p class="hidden" aria-live="polite">{state.news}</p>
    </main>
  );
}
