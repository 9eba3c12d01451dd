// Inputs that a gloved thumb can use.
interface FieldProps {
  label: string;
  name: string;
  value: string;
  set: (value: string) => void;
  numeric?: boolean;
  most?: number;
  placeholder?: string;
}

export function Field(
  { label, name, value, set, numeric, most, placeholder }: FieldProps,
) {
  return (
    <label class="field">{label}
      <input name={name} value={value} autocomplete="off"
        maxLength={most ?? 60} placeholder={placeholder ?? ""}
        inputMode={numeric ? "decimal" : "text"}
        onInput={(event) => set(event.currentTarget.value)} />
    </label>
  );
}

interface StepperProps {
  label: string;
  name: string;
  value: string;
  set: (value: string) => void;
}

/** A whole number, empty for none, with a button on each side. */
export function Stepper({ label, name, value, set }: StepperProps) {
  const at = Number(value) || 0;
  return (
    <div class="stepper" role="group" aria-label={label}>
      <button type="button" aria-label={`${label}: one less`}
        disabled={value === ""}
        onClick={() => set(at > 1 ? String(at - 1) : "")}>−</button>
      <label>{label}
        <input name={name} value={value} inputMode="numeric" maxLength={4}
          placeholder="none" autocomplete="off"
          onInput={(event) => set(event.currentTarget.value)} />
      </label>
      <button type="button" aria-label={`${label}: one more`}
        onClick={() => set(String(at + 1))}>+</button>
    </div>
  );
}

interface ChipsProps {
  words: string[];
  chosen: string;
  choose: (word: string) => void;
}

/** Ready words for whoever cannot type now. */
export function Chips({ words, chosen, choose }: ChipsProps) {
  return (
    <div class="chips">
      {words.map((word) => (
        <button key={word} type="button" aria-pressed={word === chosen}
          onClick={() => choose(word)}>{word}</button>
      ))}
    </div>
  );
}
