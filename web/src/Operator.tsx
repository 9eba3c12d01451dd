// The operator's row: one thumb, gloves, a dog about to bite.
import { duration, limitText, nextDog, restOf } from "./day.ts";
import type { Action } from "./messages.ts";
import type { Seen } from "./state.ts";

interface Props {
  state: Seen;
  act: (action: Action) => void;
  more: () => void;
}

/** The sleeve that an action is for: nothing is said where there is one. */
export function forSleeve(state: Seen): { sleeve?: number } {
  return state.sleeves.length > 1 ? { sleeve: state.sleeve } : {};
}

function Next({ state, dog }: { state: Seen; dog: string }) {
  const rest_s = restOf(state, dog);
  const limit = limitText(state, dog);
  if (dog === "") return <>No next dog</>;
  return (
    <>
      <span>Next: <b>{dog}</b></span>{" "}
      {(limit || rest_s !== null) && (
        <small>{limit || `rested ${duration(rest_s!)}`}</small>
      )}
    </>
  );
}

export function Operator({ state, act, more }: Props) {
  const next = nextDog(state);
  const off = state.link !== "open" || state.ended !== null;
  const waiting = (of: string) => state.waiting.includes(of);
  return (
    <footer class="operator" aria-label="Operator">
      <button class={`out ${state.now?.state === "bite" ? "live" : ""}`}
        disabled={off} aria-busy={waiting("out")}
        onClick={() => act({ type: "out", ...forSleeve(state) })}>
        Out
      </button>
      <button class="next" disabled={off || next === ""}
        aria-busy={waiting("up")}
        onClick={() => act({ type: "up", dog: next, ...forSleeve(state) })}>
        <Next state={state} dog={next} />
      </button>
      <button class="dots" disabled={off} aria-label="More"
        aria-haspopup="dialog" onClick={more}>
        <svg viewBox="0 0 24 24" aria-hidden="true">
          <circle cx="5" cy="12" r="2.2" /><circle cx="12" cy="12" r="2.2" />
          <circle cx="19" cy="12" r="2.2" />
        </svg>
      </button>
    </footer>
  );
}
