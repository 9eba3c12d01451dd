// A known mass hangs on the sleeve: does it read what it should?
import { useState } from "preact/hooks";
import { numberOf } from "../entry.ts";
import { Field } from "../Field.tsx";
import { fixed, withUncertainty } from "../format.ts";
import { forSleeve } from "../Operator.tsx";
import type { CheckLoad } from "../messages.ts";
import type { SheetProps } from "./Sheets.tsx";

function Result({ load }: { load: CheckLoad }) {
  const put_n = load.sleeve_n - load.difference_n;
  return (
    <p class={load.within ? "load-read within" : "load-read without"}>
      <b>{load.within ? "Agrees." : "Does not agree."}</b>{" "}
      {fixed(load.mass_kg, 1)} kg pull {fixed(put_n, 1)} N; the sleeve read{" "}
      {withUncertainty(load.sleeve_n, load.sleeve_u95_n)}.
    </p>
  );
}

export function CheckLoadForm({ state, act }: Pick<SheetProps, "state" | "act">) {
  const [mass, setMass] = useState("");
  const [wrong, setWrong] = useState("");
  const load = state.checks?.load ?? null;
  const submit = (event: Event) => {
    event.preventDefault();
    const mass_kg = numberOf(mass);
    if (mass_kg === null || !(mass_kg > 0 && mass_kg < 500)) {
      return setWrong("The mass that hangs there, in kilograms.");
    }
    setWrong("");
    act({ type: "load", mass_kg, ...forSleeve(state) });
  };
  return (
    <form class="load" onSubmit={submit}>
      <h3>Check load{state.sleeves.length > 1 && `, sleeve ${state.sleeve + 1}`}</h3>
      <div class="pair">
        <Field label="Mass on it, kg" name="load" value={mass}
          set={setMass} numeric most={8} />
        <button type="submit" aria-busy={state.waiting.includes("load")}>
          Measure it
        </button>
      </div>
      {wrong && <p class="wrong" role="alert">{wrong}</p>}
      {load && <Result load={load} />}
    </form>
  );
}
