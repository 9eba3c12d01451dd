// The running order: each dog a place earlier or later.
import { useLayoutEffect, useRef } from "preact/hooks";
import { everyUp, inOrder, moved } from "../day.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

function Arrow({ down }: { down: boolean }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true">
      <path d={down ? "M12 5v14M6 13l6 6 6-6" : "M12 19V5M6 11l6-6 6 6"} />
    </svg>
  );
}

/** The button pressed last stays under the finger and in focus. */
function useKeptFocus(): (key: string) => void {
  const pressed = useRef("");
  useLayoutEffect(() => {
    const at = document.activeElement;
    if (pressed.current === "" || (at && at !== document.body &&
      !(at instanceof HTMLDialogElement))) return;
    const key = pressed.current;
    const find = (name: string) =>
      document.querySelector<HTMLButtonElement>(`[data-move="${CSS.escape(name)}"]`);
    const same = find(key);
    const other = find(key.startsWith("-") ? `+${key.slice(1)}` : `-${key.slice(1)}`);
    (same && !same.disabled ? same : other)?.focus();
  });
  return (key) => {
    pressed.current = key;
  };
}

export function Order({ state, act, show }: SheetProps) {
  const order = inOrder(state).map((entry) => entry.dog);
  const busy = everyUp(state);
  const press = useKeptFocus();
  const move = (dog: string, by: -1 | 1) => () => {
    press(`${by < 0 ? "-" : "+"}${dog}`);
    act({ type: "order", dogs: moved(order, dog, by) });
  };
  return (
    <Sheet title="Running order" close={() => show(null)}>
      {order.length === 0 && <p class="empty">The roster is empty.</p>}
      <ol class="order">
        {order.map((dog, i) => (
          <li key={dog}>
            <span class="place">{i + 1}</span>
            <span class="who">
              <b>{dog}</b>{busy.includes(dog) && <i>up now</i>}
            </span>
            <button aria-label={`${dog} earlier`} data-move={`-${dog}`}
              disabled={i === 0} onClick={move(dog, -1)}>
              <Arrow down={false} />
            </button>
            <button aria-label={`${dog} later`} data-move={`+${dog}`}
              disabled={i === order.length - 1} onClick={move(dog, 1)}>
              <Arrow down={true} />
            </button>
          </li>
        ))}
      </ol>
    </Sheet>
  );
}
