// Who is up: one box to look for a dog and to add it. Enter does what the box
// says it will.
import { useEffect, useRef, useState } from "preact/hooks";
import { duration, everyUp, inOrder, limitText, restOf, upOf } from "../day.ts";
import { matches, numberOf, sameName } from "../entry.ts";
import { Field } from "../Field.tsx";
import { forSleeve } from "../Operator.tsx";
import type { Dog } from "../messages.ts";
import type { Seen } from "../state.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

function about(entry: Dog): string {
  const mass = entry.mass_kg === null ? "" : `${entry.mass_kg} kg`;
  return [entry.breed, mass].filter(Boolean).join(", ");
}

function Row(
  { state, entry, first, choose }:
  { state: Seen; entry: Dog; first: boolean; choose: () => void },
) {
  const here = entry.dog === upOf(state);
  const there = everyUp(state).includes(entry.dog);
  const rest_s = restOf(state, entry.dog);
  const limit = limitText(state, entry.dog);
  const rest = rest_s === null ? "" : `rested ${duration(rest_s)}`;
  return (
    <li>
      <button aria-pressed={here} class={first ? "first" : ""} onClick={choose}>
        <span><b>{entry.dog}</b> <small>{about(entry)}</small></span>
        <i class={limit && !here && !there ? "limit" : ""}>
          {here ? "up now" : there ? "up elsewhere" : limit || rest}
        </i>
      </button>
    </li>
  );
}

/** Sends a new dog up once the roster has it. */
function useAdding(props: SheetProps): [string, (dog: string) => void] {
  const { state, act, show } = props;
  const [adding, setAdding] = useState("");
  const listed = state.hello?.roster.some((entry) => entry.dog === adding);
  const refused = adding !== "" && !listed && !state.waiting.includes("dog") &&
    state.notice?.level === "warn";
  useEffect(() => {
    if (refused) setAdding("");
    if (adding === "" || !listed) return;
    act({ type: "up", dog: adding, ...forSleeve(state) });
    show(null);
  }, [adding, listed, refused]);
  return [adding, setAdding];
}

/** Breed and mass, for whoever has the time. */
interface Details {
  breed: string;
  mass: string;
}

function DetailFields(
  { details, set }: { details: Details; set: (details: Details) => void },
) {
  return (
    <div class="pair">
      <Field label="Breed, if you like" name="breed" value={details.breed}
        set={(breed) => set({ ...details, breed })} />
      <Field label="Mass, kg, if known" name="mass" value={details.mass}
        set={(mass) => set({ ...details, mass })} numeric />
    </div>
  );
}

interface FindProps extends SheetProps {
  words: string;
  setWords: (words: string) => void;
  found: Dog[];
  up: (dog: string) => void;
}

/** With a keyboard at hand one types at once; on a phone it would cover the
 * list. */
function useTypingAtOnce() {
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    if (window.matchMedia("(hover: hover)").matches) {
      form.current?.querySelector("input")?.focus();
    }
  }, []);
  return form;
}

function Find({ words, setWords, found, up, ...props }: FindProps) {
  const [details, setDetails] = useState<Details>({ breed: "", mass: "" });
  const [wrong, setWrong] = useState("");
  const [adding, setAdding] = useAdding(props);
  const form = useTypingAtOnce();
  const name = words.trim().replace(/\s+/g, " ");
  const known = inOrder(props.state).some((d) => sameName(d.dog, name));
  const add = () => {
    const mass_kg = numberOf(details.mass);
    const fine = mass_kg === null || (mass_kg > 0 && mass_kg < 150);
    setWrong(fine ? "" : "The mass in kilograms, or nothing.");
    if (!fine) return;
    setAdding(name);
    props.act({ type: "dog", dog: name, breed: details.breed.trim(), mass_kg });
  };
  const enter = (event: Event) => {
    event.preventDefault();
    if (name === "") return;
    const same = found.find((d) => sameName(d.dog, name)) ?? found[0];
    if (same) up(same.dog);
    else add();
  };
  return (
    <form class="find" ref={form} onSubmit={enter}>
      <Field label="Look for a dog, or name a new one" name="dog"
        value={words} set={setWords} />
      {name !== "" && !known && (
        <>
          <button class="wide add" type="button" onClick={add}
            aria-busy={adding !== ""}>
            Add <b>{name}</b> and send it up
          </button>
          <DetailFields details={details} set={setDetails} />
        </>
      )}
      {wrong && <p class="wrong" role="alert">{wrong}</p>}
      <input type="submit" hidden />
    </form>
  );
}

export function Roster(props: SheetProps) {
  const { state, act, show } = props;
  const [words, setWords] = useState("");
  const dogs = inOrder(state);
  const found = dogs.filter((d) => matches(words, [d.dog, d.breed]));
  const up = (dog: string) => {
    act({ type: "up", dog, ...forSleeve(state) });
    show(null);
  };
  const title = state.sleeves.length > 1
    ? `Who is up on sleeve ${state.sleeve + 1}` : "Who is up";
  return (
    <Sheet title={title} close={() => show(null)}>
      <Find {...props} words={words} setWords={setWords} found={found} up={up} />
      {dogs.length === 0 && <p class="empty">The roster is empty.</p>}
      <ul class="roster">
        {found.map((entry, i) => (
          <Row key={entry.dog} state={state} entry={entry}
            first={i === 0 && words.trim() !== ""} choose={() => up(entry.dog)} />
        ))}
      </ul>
    </Sheet>
  );
}
