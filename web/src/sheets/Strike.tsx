// The operator's part of a bite's evidence: notes, and striking it out.
import { useEffect, useRef, useState } from "preact/hooks";
import { Chips, Field } from "../Field.tsx";
import type { Bite } from "../messages.ts";
import { Notes } from "./Note.tsx";
import type { SheetProps } from "./Sheets.tsx";

const READY = ["no bite: a knock", "a body pressed on it", "sleeve was dropped",
  "another dog than named"];

function Why({ bite, act, done }: {
  bite: Bite; act: SheetProps["act"]; done: () => void;
}) {
  const [reason, setReason] = useState("");
  const form = useRef<HTMLFormElement>(null);
  // It opens below what is seen.
  useEffect(() => form.current?.scrollIntoView({ block: "end" }), []);
  const said = reason.trim();
  const submit = (event: Event) => {
    event.preventDefault();
    if (said.length < 3) return;
    act({ type: "void", bite: bite.id, reason: said });
    done();
  };
  return (
    <form class="why" ref={form} onSubmit={submit}>
      <h3>Why is it struck out?</h3>
      <Chips words={READY} chosen={reason} choose={setReason} />
      <Field label="Or in words" name="reason" value={reason} set={setReason}
        most={200} />
      <button class="wide" type="submit" disabled={said.length < 3}>
        Strike bite {bite.id} out
      </button>
      <p class="lead">
        What was measured is kept; the bite no longer counts in the report, and
        the reason stands beside it. It can be restored.
      </p>
    </form>
  );
}

export function BiteNotes({ bite, state }: { bite: Bite; state: SheetProps["state"] }) {
  const notes = state.day?.notes.filter((n) => n.bite === bite.id) ?? [];
  return notes.length === 0 ? null : <Notes notes={notes} />;
}

export function BiteActions({ bite, act, show }: SheetProps & { bite: Bite }) {
  const [asks, setAsks] = useState(false);
  const struck = bite.reasons.some((r) => r.code === "withdrawn");
  return (
    <div class="acts">
      <div class="pair">
        <button class="wide" onClick={() => show({ kind: "note", bite: bite.id })}>
          Note on it
        </button>
        {struck
          ? (
            <button class="wide restore"
              onClick={() => act({ type: "restore", bite: bite.id })}>
              Restore it
            </button>
          )
          : (
            <button class="wide strike-out" aria-expanded={asks}
              onClick={() => setAsks(!asks)}>
              Strike out…
            </button>
          )}
      </div>
      {asks && !struck && <Why bite={bite} act={act} done={() => setAsks(false)} />}
    </div>
  );
}
