// The operator's row: one thumb, gloves, a dog about to bite.
import { useState } from "preact/hooks";
import type { Action } from "./messages.ts";
import { Sheet } from "./Sheet.tsx";
import { nextDog, type State } from "./state.ts";

interface Props {
  state: State;
  act: (action: Action) => void;
}

function AddDog({ state, act }: Props) {
  const [dog, setDog] = useState("");
  const [breed, setBreed] = useState("");
  const [mass, setMass] = useState("");
  const [wrong, setWrong] = useState("");
  const submit = (event: Event) => {
    event.preventDefault();
    const name = dog.trim();
    // A comma is what half the world's keyboards give for a decimal point.
    const mass_kg = mass.trim() === "" ? null : Number(mass.trim().replace(",", "."));
    if (name === "") return setWrong("A dog needs a name.");
    if (state.hello?.roster.some((d) => d.dog === name)) {
      return setWrong(`${name} is on the roster already.`);
    }
    if (mass_kg !== null && !(mass_kg > 0 && mass_kg < 150)) {
      return setWrong("The mass in kilograms, or nothing.");
    }
    act({ type: "dog", dog: name, breed: breed.trim(), mass_kg });
    setDog("");
    setBreed("");
    setMass("");
    setWrong("");
  };
  const input = (set: (value: string) => void) => (event: Event) =>
    set((event.target as HTMLInputElement).value);
  return (
    <form class="add" onSubmit={submit}>
      <h3>Add a dog</h3>
      <label>Name
        <input name="dog" value={dog} onInput={input(setDog)} maxLength={60}
          autocomplete="off" />
      </label>
      <label>Breed
        <input name="breed" value={breed} onInput={input(setBreed)}
          maxLength={60} autocomplete="off" />
      </label>
      <label>Mass, kg
        <input name="mass" value={mass} onInput={input(setMass)}
          inputMode="decimal" autocomplete="off" />
      </label>
      <button type="submit">Add</button>
      {wrong && <p class="wrong" role="alert">{wrong}</p>}
    </form>
  );
}

function More({ state, act, close }: Props & { close: () => void }) {
  const up = state.now?.up ?? state.hello?.up ?? "";
  const roster = state.hello?.roster ?? [];
  const biting = state.now?.state === "bite";
  return (
    <Sheet title="More" close={close}>
      <button class="zero" disabled={biting}
        onClick={() => {
          act({ type: "zero" });
          close();
        }}>
        Set zero
        <small>{biting ? "not during a bite"
          : "takes the next quiet second; nobody touches the sleeve"}</small>
      </button>
      <h3>Who is up</h3>
      {roster.length === 0 && <p class="empty">The roster is empty.</p>}
      <ul class="roster">
        {roster.map((entry) => (
          <li key={entry.dog}>
            <button aria-pressed={entry.dog === up}
              onClick={() => {
                act({ type: "up", dog: entry.dog });
                close();
              }}>
              <b>{entry.dog}</b>{" "}
              <small>
                {[entry.breed, entry.mass_kg === null ? "" : `${entry.mass_kg} kg`]
                  .filter(Boolean).join(", ")}
              </small>
              {entry.dog === up && <span>up now</span>}
            </button>
          </li>
        ))}
      </ul>
      <AddDog state={state} act={act} />
    </Sheet>
  );
}

export function Operator({ state, act }: Props) {
  const [more, setMore] = useState(false);
  const up = state.now?.up ?? state.hello?.up ?? "";
  const next = nextDog(state.hello, up);
  const off = state.link !== "open" || state.ended !== null;
  const waiting = (of: string) => state.waiting.includes(of);
  return (
    <footer class="operator" aria-label="Operator">
      <button class={`out ${state.now?.state === "bite" ? "live" : ""}`}
        disabled={off} aria-busy={waiting("out")}
        onClick={() => act({ type: "out" })}>
        Out
      </button>
      <button class="next" disabled={off || next === ""}
        aria-busy={waiting("up")}
        onClick={() => act({ type: "up", dog: next })}>
        {next === "" ? "No next dog" : <>Next: <b>{next}</b></>}
      </button>
      <button class="dots" disabled={off} aria-label="More: zero, roster"
        aria-haspopup="dialog" onClick={() => setMore(true)}>
        <svg viewBox="0 0 24 24" aria-hidden="true">
          <circle cx="5" cy="12" r="2.2" /><circle cx="12" cy="12" r="2.2" />
          <circle cx="19" cy="12" r="2.2" />
        </svg>
      </button>
      {more && <More state={state} act={act} close={() => setMore(false)} />}
    </footer>
  );
}
