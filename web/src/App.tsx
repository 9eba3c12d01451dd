// The live page as page parts; what it shows is all in State.
import { useState } from "preact/hooks";
import { BenchView } from "./Bench.tsx";
import { Bites, Dogs } from "./Bites.tsx";
import { ByDog } from "./ByDog.tsx";
import { Evidence } from "./Evidence.tsx";
import { Figure } from "./Figure.tsx";
import { clock } from "./format.ts";
import { Head } from "./Head.tsx";
import type { Action } from "./messages.ts";
import { Operator } from "./Operator.tsx";
import { staleness, type State } from "./state.ts";
import { TraceView } from "./TraceView.tsx";

const NOTICE_MS = 6000;

interface Props {
  state: State;
  at_ms: number;
  act: (action: Action) => void;
}

export function App({ state, at_ms, act }: Props) {
  const [open, setOpen] = useState<number | null>(null);
  const [byDog, setByDog] = useState(false);
  const shown = state.bites.find((b) => b.bite.id === open);
  const old = staleness(state, at_ms);
  const notice = state.notice;
  const fresh = notice && at_ms - notice.at_ms < NOTICE_MS ? notice : null;
  const operator = state.role === "operator";
  if (state.bench) {
    return (
      <BenchView bench={state.bench} state={state} act={act}
        old={old && `${old.why} since ${clock(new Date(old.since_ms))}`}
        notice={fresh} />
    );
  }
  const classes = ["page", operator ? "operates" : "", old ? "old" : "",
    state.now?.state === "bite" ? "biting" : ""].filter(Boolean).join(" ");
  return (
    <div class={classes}>
      <div class="top">
        <Head state={state} />
        <div class="status" role="status">
          {old && (
            <p class="since">{old.why} since {clock(new Date(old.since_ms))}</p>
          )}
          {!old && fresh && <p class={fresh.level}>{fresh.text}</p>}
        </div>
      </div>
      <Figure state={state} />
      <TraceView state={state} />
      <Bites state={state} open={setOpen} byDog={() => setByDog(true)} />
      <Dogs state={state} />
      {operator && <Operator state={state} act={act} />}
      <p class="hidden" aria-live="polite">{state.news}</p>
      {byDog && <ByDog state={state} close={() => setByDog(false)} />}
      {shown && <Evidence message={shown} close={() => setOpen(null)} />}
    </div>
  );
}
