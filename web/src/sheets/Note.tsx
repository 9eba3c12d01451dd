// A note on a bite, or on the dog that is up and this moment.
import { useState } from "preact/hooks";
import { upOf } from "../day.ts";
import { Chips } from "../Field.tsx";
import { figureText } from "../format.ts";
import type { BiteMessage, Note } from "../messages.ts";
import { newestBite } from "../state.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

const READY = ["slipped", "hesitated", "let go early", "helper changed",
  "sleeve turned", "rain"];

export function Notes({ notes }: { notes: Note[] }) {
  return (
    <ul class="notes">
      {notes.map((note) => (
        <li key={note.id}>
          <time>{note.clock.slice(0, 5)}</time>
          <span>
            {note.bite !== null ? <b>bite {note.bite}: </b>
              : note.dog && <b>{note.dog}: </b>}
            {note.text}
          </span>
        </li>
      ))}
    </ul>
  );
}

function On(
  { bite, dog, on, choose }: {
    bite: BiteMessage | null; dog: string; on: number | null;
    choose: (bite: number | null) => void;
  },
) {
  return (
    <fieldset class="on">
      <legend>On what</legend>
      <label>
        <input type="radio" name="on" checked={on === null}
          onChange={() => choose(null)} />
        <span>this moment{dog && `, ${dog}`}</span>
      </label>
      {bite && (
        <label>
          <input type="radio" name="on" checked={on === bite.bite.id}
            onChange={() => choose(bite.bite.id)} />
          <span>
            bite {bite.bite.id}, {bite.bite.dog || "nobody"},{" "}
            {figureText(bite.bite)}
          </span>
        </label>
      )}
    </fieldset>
  );
}

export function NoteSheet(
  { state, act, show, bite }: SheetProps & { bite: number | null },
) {
  const [text, setText] = useState("");
  const [on, setOn] = useState(bite);
  const about = bite === null ? newestBite(state)
    : state.bites.find((b) => b.bite.id === bite) ?? null;
  const submit = (event: Event) => {
    event.preventDefault();
    if (text.trim() === "") return;
    act({ type: "note", text: text.trim(), bite: on });
    setText("");
  };
  const notes = state.day?.notes ?? [];
  return (
    <Sheet title="Note" close={() => show(null)}>
      <form class="note" onSubmit={submit}>
        <On bite={about} dog={upOf(state)} on={on} choose={setOn} />
        <Chips words={READY} chosen={text} choose={setText} />
        <label class="field">In words
          <textarea name="text" rows={2} maxLength={300} value={text}
            onInput={(event) => setText(event.currentTarget.value)} />
        </label>
        <button class="wide" type="submit" disabled={text.trim() === ""}
          aria-busy={state.waiting.includes("note")}>Note it</button>
      </form>
      {notes.length > 0 && (
        <>
          <h3>Today's notes</h3>
          <Notes notes={notes} />
        </>
      )}
    </Sheet>
  );
}
