// The guided checks before the first dog and after the last, and the check
// load.
import { useState } from "preact/hooks";
import { Field } from "../Field.tsx";
import type { Checks, CheckItem, CheckState, Stage } from "../messages.ts";
import { VerdictMark } from "../Shapes.tsx";
import type { Seen } from "../state.ts";
import { CheckLoadForm } from "./CheckLoad.tsx";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

const STAGE_NAME: Record<Stage, string> = {
  before: "Before the first dog", after: "After the last dog",
};
const WORDS: Record<CheckState, string> = {
  ok: "ok", look: "look at it", bad: "do not start", unknown: "not known",
  waiting: "being measured", todo: "to do",
};
const NAMES: Record<string, string> = {
  link: "Link", supply: "Supply", rate: "Sample rate", zero: "Zero",
  noise: "Noise", calibration: "Calibration", load: "Check load",
  disk: "Room on the disk", clock: "Clock",
};

/** The verdicts' shapes, and three more for what is not known yet. */
function Mark({ state }: { state: CheckState }) {
  return (
    <svg class={`shape mark ${state}`} viewBox="0 0 20 20" aria-hidden="true">
      {state === "ok" && <VerdictMark verdict="sound" />}
      {state === "look" && <VerdictMark verdict="doubtful" />}
      {state === "bad" && <VerdictMark verdict="void" />}
      {state === "unknown" && <path class="ring" d="M4 10h12" />}
      {state === "waiting" && <path class="ring dotted" d="M3 10h14" />}
      {state === "todo" && <path class="ring" d="M4 4h12v12H4z" />}
    </svg>
  );
}

function Item({ item, several }: { item: CheckItem; several: boolean }) {
  const which = several && item.sleeve !== null ? `, sleeve ${item.sleeve + 1}` : "";
  return (
    <li class={item.state} data-what={item.what}>
      <Mark state={item.state} />
      <span>
        <b>{NAMES[item.what] ?? item.what}{which}</b> <i>{WORDS[item.state]}</i>
        <small>{item.text}</small>
      </span>
    </li>
  );
}

function Pass({ checks, act }: { checks: Checks; act: SheetProps["act"] }) {
  const [reason, setReason] = useState("");
  const bad = checks.items.some((item) => item.state === "bad");
  const left = checks.items.filter((item) =>
    item.state === "todo" || item.state === "waiting").length;
  const said = reason.trim();
  const submit = (event: Event) => {
    event.preventDefault();
    if (bad && said.length < 3) return;
    act(bad ? { type: "passed", anyway: said } : { type: "passed" });
  };
  return (
    <form class="pass" onSubmit={submit}>
      {bad && (
        <Field label="Why start all the same?" name="anyway" value={reason}
          set={setReason} most={200} />
      )}
      <button class="wide" type="submit" disabled={bad && said.length < 3}
        aria-busy={false}>
        {bad ? "Close the checks all the same" : "Close the checks"}{" "}
        {left > 0 && <small>{left} still open; it is kept so</small>}
      </button>
    </form>
  );
}

function Going({ state, checks, act }: {
  state: Seen; checks: Checks; act: SheetProps["act"];
}) {
  const several = state.sleeves.length > 1;
  return (
    <>
      <ul class="checks">
        {checks.items.map((item) => (
          <Item key={`${item.what} ${item.sleeve}`} item={item} several={several} />
        ))}
      </ul>
      <CheckLoadForm state={state} act={act} />
      <Pass checks={checks} act={act} />
    </>
  );
}

function Choose({ state, act }: Pick<SheetProps, "state" | "act">) {
  const passed = state.checks?.passed ?? null;
  return (
    <>
      {passed !== null && <p class="lead">The last checks were closed at {passed}.</p>}
      {(["before", "after"] as const).map((stage) => (
        <button key={stage} class={`wide stage-${stage}`}
          onClick={() => act({ type: "checks", stage })}>
          {STAGE_NAME[stage]}{" "}
          <small>
            {stage === "before" ? "link, supply, zero, noise, a check load"
              : "the zero again, a check load again"}
          </small>
        </button>
      ))}
    </>
  );
}

function Cautions({ checks, done }: { checks: Checks; done: () => void }) {
  return (
    <div class="cautions">
      <ul>{checks.cautions.map((text) => <li key={text}>{text}</li>)}</ul>
      <button class="wide" onClick={done}>Understood</button>
    </div>
  );
}

// The stage whose cautions this page has shown; it shows them once.
let understood = "";

export function ChecksSheet({ state, act, show }: SheetProps) {
  const [, setSeen] = useState(understood);
  const { checks } = state;
  const stage = checks?.stage ?? "none";
  if (stage === "none") understood = "";
  const title = stage === "none" ? "Checks" : STAGE_NAME[stage];
  const warns = checks !== null && stage !== "none" && understood !== stage &&
    checks.cautions.length > 0;
  return (
    <Sheet title={title} close={() => show(null)}>
      {stage === "none" && <Choose state={state} act={act} />}
      {checks && stage !== "none" && (warns
        ? (
          <Cautions checks={checks} done={() => {
            understood = stage;
            setSeen(stage);
          }} />
        )
        : <Going state={state} checks={checks} act={act} />)}
    </Sheet>
  );
}
