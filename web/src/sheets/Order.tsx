// The running order: a dog is pressed, then where it goes; or it moves a place
// earlier or later.
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { before, everyUp, inOrder, moved, placeNext, upOf } from "../day.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

function Arrow({ down }: { down: boolean }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true">
      <path d={down ? "M12 5v14M6 13l6 6 6-6" : "M12 19V5M6 11l6-6 6 6"} />
    </svg>
  );
}

/** Where a dog stands, in words. */
function placeText(order: string[], dog: string): string {
  const at = order.indexOf(dog);
  const after = at > 0 ? `, after ${order[at - 1]}` : "";
  return `${dog} is ${at + 1} of ${order.length}${after}.`;
}

/** What was sent and how the order was then: it is done once that differs. */
interface Sent {
  dog: string;
  was: string;
  /** The button to keep in focus. */
  button: string;
}

const found = (button: string) => document.querySelector<HTMLButtonElement>(
  `[data-order="${CSS.escape(button)}"]:not(:disabled)`);

const focusOn = (button: string): boolean => {
  const at = found(button);
  at?.focus();
  return at !== null;
};

/** Sends orders. Says which dog moved last once the order has it; keeps that
 * dog's button under the finger and in focus. */
function useSending(order: string[], act: SheetProps["act"]) {
  const sent = useRef<Sent | null>(null);
  const [done, setDone] = useState("");
  const now = order.join("\n");
  useLayoutEffect(() => {
    if (sent.current === null || sent.current.was === now) return;
    const { dog, button } = sent.current;
    sent.current = null;
    setDone(dog);
    if (!focusOn(button)) focusOn(`dog ${dog}`);
  }, [now]);
  const send = (dogs: string[], dog: string, button: string) => {
    setDone("");
    sent.current = { dog, was: now, button };
    act({ type: "order", dogs });
  };
  return { done: order.includes(done) ? done : "", send };
}

interface RowProps {
  dog: string;
  place: number;
  last: boolean;
  up: boolean;
  /** It has just come here. */
  put: boolean;
  /** The dog that waits for its place, "" for none. */
  picked: string;
  press: () => void;
  move: (by: -1 | 1) => void;
}

function Row({ dog, place, last, up, put, picked, press, move }: RowProps) {
  const target = picked !== "" && picked !== dog;
  return (
    <li class={target ? "target" : put ? "put" : ""}>
      <span class="place">{place}</span>
      <button class="dog" data-order={`dog ${dog}`} onClick={press}
        {...(target ? {} : { "aria-pressed": picked === dog })}>
        <span>{target && "before "}<b>{dog}</b></span>{up && <i>up now</i>}
      </button>
      {picked === "" && ([-1, 1] as const).map((by) => (
        <button key={by} aria-label={`${dog} ${by < 0 ? "earlier" : "later"}`}
          data-order={`${by} ${dog}`} disabled={by < 0 ? place === 1 : last}
          onClick={() => move(by)}>
          <Arrow down={by > 0} />
        </button>
      ))}
    </li>
  );
}

/** The dog that waits for its place, kept in view: the row of buttons that
 * comes up would hide it. */
function usePicked(order: string[]): [string, (dog: string) => void] {
  const [chosen, setChosen] = useState("");
  const picked = order.includes(chosen) ? chosen : "";
  useLayoutEffect(() => {
    found(`dog ${picked}`)?.scrollIntoView({ block: "nearest" });
  }, [picked]);
  return [picked, setChosen];
}

interface PuttingProps {
  picked: string;
  /** What was done, "" before anything was. */
  done: string;
  busy: boolean;
  next: () => void;
  last: () => void;
  leave: () => void;
}

/** At the thumb: what to press, the places most wanted, and the way back. */
function Putting({ picked, done, busy, next, last, leave }: PuttingProps) {
  const said = picked ? `Where does ${picked} go?`
    : done || "Press a dog, then where it goes.";
  return (
    <div class="putting">
      <p role="status" class={picked || done ? "" : "hint"}>{said}</p>
      {picked !== "" && (
        <div class="puts">
          <button disabled={busy} onClick={next}>Next up</button>
          <button onClick={last}>Last</button>
          <button onClick={leave}>Leave it</button>
        </div>
      )}
    </div>
  );
}

export function Order({ state, act, show }: SheetProps) {
  const order = inOrder(state).map((entry) => entry.dog);
  const busy = everyUp(state);
  const { done, send } = useSending(order, act);
  const [picked, pick] = usePicked(order);
  const leave = () => {
    pick("");
    focusOn(`dog ${picked}`);
  };
  const put = (dogs: string[]) => {
    if (dogs.every((dog, i) => dog === order[i])) return leave();
    pick("");
    send(dogs, picked, `dog ${picked}`);
  };
  const press = (dog: string) => {
    if (picked === "") pick(dog);
    else put(before(order, picked, dog));
  };
  // The key leaves the dog alone first, then closes the sheet.
  const key = (event: KeyboardEvent) => {
    if (event.key !== "Escape" || picked === "") return;
    event.preventDefault();
    leave();
  };
  return (
    <Sheet title="Running order" close={() => show(null)}>
      {order.length === 0 && <p class="empty">The roster is empty.</p>}
      <div onKeyDown={key}>
        <ol class="order" aria-busy={state.waiting.includes("order")}>
          {order.map((dog, i) => (
            <Row key={dog} dog={dog} place={i + 1} last={i === order.length - 1}
              up={busy.includes(dog)} put={dog === done} picked={picked}
              press={() => press(dog)}
              move={(by) => send(moved(order, dog, by), dog, `${by} ${dog}`)} />
          ))}
        </ol>
        {order.length > 1 && (
          <Putting picked={picked} done={done && placeText(order, done)}
            busy={busy.includes(picked)} leave={leave}
            next={() => put(placeNext(order, picked, upOf(state)))}
            last={() => put(before(order, picked, ""))} />
        )}
      </div>
    </Sheet>
  );
}
