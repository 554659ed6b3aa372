// The pieces of every form: a label and its control, in the unit that people chose.

import type { ComponentChildren, JSX } from "preact";
import { useId, useState } from "preact/hooks";
import { say } from "./say";
import type { Choice } from "./types";
import { meant, shown, type Unit } from "./units";

interface Labeled { label: string; fault?: string | undefined }

function Row({ label, fault, children }: Labeled & { children: (ids: { id: string; described: string | undefined }) => ComponentChildren }): JSX.Element {
  const id = useId();
  const described = fault ? `${id}-fault` : undefined;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {children({ id, described })}
      {fault ? <p class="fault" id={described}>{fault}</p> : null}
    </div>
  );
}

export function TextField({ label, fault, value, onChange }: Labeled & { value: string; onChange: (value: string) => void }): JSX.Element {
  return (
    <Row label={label} fault={fault}>
      {({ id, described }) => (
        <input id={id} type="text" value={value} maxLength={200} aria-describedby={described}
          onChange={(event) => onChange(event.currentTarget.value)} />
      )}
    </Row>
  );
}

interface NumberProps extends Labeled { value: number | null; onChange: (value: number) => void; onClear?: () => void; min?: number; max?: number; step?: number | "any" }

export function NumberField({ label, fault, value, onChange, onClear, min, max, step = 1 }: NumberProps): JSX.Element {
  // What is typed stays until it is a number.
  const [typed, type] = useState<string | null>(null);
  const end = (text: string): void => {
    const number = text.trim() === "" ? Number.NaN : Number(text);
    type(null);
    if (text.trim() === "") onClear?.();
    if (Number.isFinite(number)) onChange(Math.min(max ?? Infinity, Math.max(min ?? -Infinity, number)));
  };
  return (
    <Row label={label} fault={fault}>
      {({ id, described }) => (
        <input id={id} type="number" inputMode="decimal" value={typed ?? (value === null ? "" : String(value))} min={min} max={max} step={step}
          aria-describedby={described} onInput={(event) => type(event.currentTarget.value)}
          onChange={(event) => end(event.currentTarget.value)} />
      )}
    </Row>
  );
}

/** A length, held in feet and typed in feet or paces. */
export function LengthField(props: Omit<NumberProps, "step"> & { unit: Unit }): JSX.Element {
  const { unit, value, onChange, label, min, max, fault } = props;
  const inUnit = (ft: number | undefined): number | undefined => (ft === undefined ? undefined : shown(ft, unit));
  const [low, high] = [inUnit(min), inUnit(max)];
  return (
    <NumberField label={say("page.field.in", { what: label, unit: say(`page.unit.${unit}`) })} fault={fault}
      value={value === null ? null : shown(value, unit)} onChange={(typed) => onChange(meant(typed, unit))}
      {...(low === undefined ? {} : { min: low })} {...(high === undefined ? {} : { max: high })} step="any" />
  );
}

interface ChoiceProps extends Labeled { value: string; options: Choice[]; onChange: (value: string) => void; none?: string }

export function ChoiceField({ label, fault, value, options, onChange, none }: ChoiceProps): JSX.Element {
  const known = value === "" || options.some((option) => option.id === value);
  return (
    <Row label={label} fault={fault}>
      {({ id, described }) => (
        <select id={id} value={value} aria-describedby={described} onChange={(event) => onChange(event.currentTarget.value)}>
          {none === undefined ? null : <option value="">{none}</option>}
          {known ? null : <option value={value}>{value}</option>}
          {options.map((option) => <option key={option.id} value={option.id}>{option.plural ?? option.name}</option>)}
        </select>
      )}
    </Row>
  );
}

export function Tick({ label, on, onChange }: { label: string; on: boolean; onChange: (on: boolean) => void }): JSX.Element {
  return (
    <label class="tick">
      <input type="checkbox" checked={on} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>{label}</span>
    </label>
  );
}

/** What must be said beside a plan, a line for each caution. */
export function Cautions({ lines = [] }: { lines?: string[] | undefined }): JSX.Element | null {
  return lines.length > 0 ? <ul class="cautions">{lines.map((line) => <li key={line}>{line}</li>)}</ul> : null;
}

/** Hands a text to the browser as a file to keep. */
export function keep(name: string, text: string | Blob, type = "application/json"): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(text instanceof Blob ? text : new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
