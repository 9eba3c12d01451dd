// Every bite of the day as a dot, dog by dog, in a sheet.
import { dogDots, forceTicks, type Dot, type DogDots } from "../dots.ts";
import { fixed } from "../format.ts";
import { ArrowMark, VerdictMark } from "../Shapes.tsx";
import { Sheet } from "./Sheet.tsx";
import type { State } from "../state.ts";

const WIDTH = 350;
const LEFT = 12;
const RIGHT = WIDTH - 16;
const ROW = 56;
const HEIGHTS = [0, -7, 7];
const SIZE = 0.6; // of a shape of 20

const cut = (name: string, most: number): string => {
  const letters = Array.from(name);
  return letters.length <= most
    ? name : `${letters.slice(0, most - 1).join("")}…`;
};

/** Only a lower bound is an arrow towards where the force may lie. */
function Mark({ dot, x, y }: { dot: Dot; x: number; y: number }) {
  const turn = dot.at_least ? " rotate(90)" : "";
  return (
    <g class={`shape ${dot.verdict}`} data-dot={dot.id}
      transform={`translate(${x.toFixed(1)} ${y})${turn} scale(${SIZE}) translate(-10 -10)`}>
      {dot.at_least ? <ArrowMark /> : <VerdictMark verdict={dot.verdict} />}
    </g>
  );
}

function Row(
  { day, top, at }: { day: DogDots; top: number; at: (n: number) => number },
) {
  const y = top + 37;
  return (
    <g>
      <text class="name" x={LEFT + 6} y={top + 16}>{cut(day.dog || "nobody", 26)}</text>
      {day.voids > 0 && (
        <text x={RIGHT} y={top + 16} text-anchor="end">
          {day.voids} void
        </text>
      )}
      <path class="base" d={`M${LEFT} ${y}H${RIGHT}`} />
      {day.middle_n !== null && (
        <path class="middle" d={`M${at(day.middle_n).toFixed(1)} ${y - 14}v28`} />
      )}
      {/* Three heights in turn, so that none hides another. */}
      {day.dots.map((dot, i) => (
        <Mark key={dot.id} dot={dot} x={at(dot.force_n)} y={y + HEIGHTS[i % 3]!} />
      ))}
    </g>
  );
}

export function DotPicture({ dogs }: { dogs: DogDots[] }) {
  const ticks = forceTicks(dogs);
  const step = ticks[1]!;
  const most = ticks[ticks.length - 1]!;
  const at = (force_n: number) => LEFT + (force_n / most) * (RIGHT - LEFT);
  const bottom = dogs.length * ROW + 4;
  return (
    <svg class="bydog" viewBox={`0 0 ${WIDTH} ${bottom + 24}`} role="img"
      aria-label="Peak force of every bite, dog by dog; the list below says it in words">
      {ticks.map((tick) => (
        <g key={tick}>
          <path class="tick" d={`M${at(tick).toFixed(1)} 0V${bottom}`} />
          <text x={at(tick)} y={bottom + 17}
            text-anchor={tick === most ? "end" : tick === 0 ? "start" : "middle"}>
            {fixed(tick, step < 1 ? 2 : 0)}{tick === most && " N"}
          </text>
        </g>
      ))}
      {dogs.map((day, i) => <Row key={day.dog} day={day} top={i * ROW} at={at} />)}
    </svg>
  );
}

function Key() {
  return (
    <ul class="key" aria-hidden="true">
      {(["sound", "doubtful"] as const).map((verdict) => (
        <li key={verdict}>
          <svg class={`shape ${verdict}`} viewBox="0 0 20 20">
            <VerdictMark verdict={verdict} />
          </svg> {verdict}
        </li>
      ))}
      <li>
        <svg class="shape doubtful" viewBox="0 0 20 20">
          <g transform="rotate(90 10 10)"><ArrowMark /></g>
        </svg> at least
      </li>
      <li>
        <svg class="shape" viewBox="0 0 20 20"><path d="M9 0h2.4v20H9z" /></svg>
        {" "}middle of the sound ones
      </li>
    </ul>
  );
}

export function ByDog({ state, close }: { state: State; close: () => void }) {
  const dogs = dogDots(state);
  return (
    <Sheet title={<>Compare <small>peak of every bite</small></>} close={close}>
      {dogs.length === 0 && <p class="empty">The first bite will stand here.</p>}
      {dogs.length > 0 && (
        <>
          <DotPicture dogs={dogs} />
          <ul class="hidden">
            {dogs.map((day) => (
              <li key={day.dog}>{day.dog || "nobody"}: {day.words}.</li>
            ))}
          </ul>
          <Key />
        </>
      )}
      <p class="moment">
        Dots that overlap say that the dogs may be alike. The middle stands from
        three sound bites on; the report says what can be told apart.
      </p>
    </Sheet>
  );
}
