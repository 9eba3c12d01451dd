import { render } from "preact";
import { App } from "./App.tsx";
import { isCode } from "./code.ts";
import { Link } from "./link.ts";
import type { Action } from "./messages.ts";
import { closed, initialState, opened, reduce, type State } from "./state.ts";

// How long an action may stay unanswered before the operator is told.
const ANSWER_MS = 4000;

const root = document.getElementById("page");
let state: State = initialState();
let scheduled = false;

function show(): void {
  scheduled = false;
  if (root) render(<App state={state} at_ms={Date.now()} act={act} />, root);
}

function become(next: State): void {
  state = next;
  if (scheduled) return;
  scheduled = true;
  requestAnimationFrame(show);
}

const link = new Link(`ws://${location.host}/live`, {
  opened: () => become(opened(state, Date.now())),
  message: (message) => become(reduce(state, message, Date.now())),
  closed: () => become(closed(state, Date.now())),
});

function warn(text: string): void {
  become({ ...state, notice: { level: "warn", text, at_ms: Date.now() } });
}

function act(action: Action): void {
  if (!link.send(action)) return warn("Not sent: there is no connection.");
  become({ ...state, waiting: [...state.waiting, action.type] });
  setTimeout(() => {
    if (state.waiting.includes(action.type)) {
      become({ ...state, waiting: state.waiting.filter((w) => w !== action.type) });
      warn("No answer from the recorder; check what was done.");
    }
  }, ANSWER_MS);
}

// Another code, from a link that was opened here: the door takes it.
function enterAnew(): void {
  if (isCode(location.hash.slice(1))) location.replace(`/door${location.hash}`);
}

window.addEventListener("hashchange", enterAnew);
enterAnew();
link.open();
show();
// Staleness and old notices are a matter of time, not of messages.
setInterval(() => become(state), 500);
