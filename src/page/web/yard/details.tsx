// One thing of the yard in words and fields: the equal of the picture for those who do not draw.

import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { ChoiceField, LengthField, NumberField, TextField } from "../fields";
import { say } from "../say";
import { add, at, isPart, parts, plans, put, useStore, type Part, type Path, type State, type Store } from "../store";
import type { Choice, Fault } from "../types";
import { feet, written } from "../units";
import { pressures, sideAt, sides, strengths, structures } from "../words";
import { describe } from "./room";
import { corners, edged, edgeOf, extent, fresh, nextTo, place, placed, shift, size, TURNS, upward, type Box, type Edge, type Thing } from "./things";

/** Plants of a neighbor, as they are set down, and how far from the fence their trap hangs. */
const THEIRS = 6;
const FROM_FENCE_FT = 8;

/** A path as faults name it: `plans[1].traps[0].at`. */
export const named = (path: Path): string => path.map((step, i) => (typeof step === "number" ? `[${step}]` : `${i > 0 ? "." : ""}${step}`)).join("");

/** The faults that concern a thing or what is inside it. */
export function faultsAt(faults: Fault[], path: Path): Fault[] {
  const here = named(path);
  return faults.filter(({ place }) => place === here || place.startsWith(`${here}.`) || place.startsWith(`${here}[`));
}

export function Details({ store, thing, open, remove }: { store: Store; thing: Thing; open: boolean; remove: () => void }): JSX.Element {
  const state = useStore(store);
  const faults = faultsAt(state.reading?.faults ?? [], thing.path);
  const head = useRef<HTMLDetailsElement>(null);
  useEffect(() => { if (open) head.current?.scrollIntoView({ block: "nearest" }); }, [open]);
  return (
    <details ref={head} open={open} class={faults.length > 0 ? "bad" : ""}>
      <summary onClick={(event) => { event.preventDefault(); store.set({ selected: open ? null : thing.id }); }}>{describe(state.doc, thing)}</summary>
      {faults.length > 0 ? <ul class="faults">{faults.map((fault) => <li key={fault.place + fault.say}>{fault.say}</li>)}</ul> : null}
      {open ? (
        <>
          <Fields store={store} thing={thing} state={state} />
          {thing.kind === "neighbor" && thing.shape ? <Theirs store={store} plot={thing} box={extent(thing.shape)} /> : null}
          <button type="button" onClick={remove}>{say("page.remove", { name: thing.name || say(`page.kind.${thing.kind}`) })}</button>
        </>
      ) : null}
    </details>
  );
}

/** Where a neighbor lives, and what stands and hangs there. */
function Theirs({ store, plot, box }: { store: Store; plot: Thing; box: Box }): JSX.Element {
  const { doc } = useStore(store);
  const [width, depth] = size(doc);
  const edges = Object.entries(TURNS).map(([id, turn]) => ({ id, name: sideAt(upward(doc) + turn) }));
  const move = (side: string): void => store.change((next) => {
    const to = nextTo(width, depth, side as Edge);
    shift(next, plot.path, to.x0 - box.x0, to.y0 - box.y0);
    const part = at(next, plot.path);
    if (isPart(part) && place(part["from"])) Object.assign(part, { from: placed(to.x0, to.y0), to: placed(to.x1, to.y1) });
  });
  return (
    <>
      <div class="fields"><ChoiceField label={say("page.neighbor.side")} value={edgeOf(doc, box) ?? "right"} options={edges} onChange={move} /></div>
      <div class="bar">
        <button type="button" onClick={() => plant(store, plot, box)}>{say("page.add.plus", { what: say("page.thing.theirs") })}</button>
        <button type="button" onClick={() => hang(store, plot, box)}>{say("page.add.plus", { what: say("page.thing.their-trap") })}</button>
      </div>
    </>
  );
}

/** A trap next door, near the fence: a plan with it alone, and one with the asker's own trap as well, side by side. */
function hang(store: Store, plot: Thing, box: Box): void {
  const [width, depth] = size(store.state.doc);
  const inside = (low: number, high: number, wanted: number): number => {
    const inset = Math.min(FROM_FENCE_FT, (high - low) / 2);
    return Math.round(Math.min(Math.max(wanted, low + inset), high - inset));
  };
  const trap = { name: say("page.thing.their-trap"), at: placed(inside(box.x0, box.x1, width / 2), inside(box.y0, box.y1, depth / 2)), owner: plot.name };
  const all = plans(store.state.doc);
  const mine = all.map((plan) => parts(plan["traps"]).filter((one) => !one["owner"])).find((traps) => traps.length > 0) ?? [];
  store.change((doc) => {
    const make = (key: string, traps: Part[]): Path => add(doc, ["plans"], { name: fresh(say(key), plans(doc)), traps: structuredClone(traps) });
    make("page.plan.theirs", [trap]);
    if (mine.length > 0) make("page.plan.both", [...mine, trap]);
  });
  store.set({ pinned: all.length, moving: plans(store.state.doc).length - 1, selected: null });
  location.hash = "#plans";
}

/** A row of plants across the middle of a neighbor's plot. */
function plant(store: Store, plot: Thing, box: Box): void {
  const [wide, y] = [box.x1 - box.x0, Math.round((box.y0 + box.y1) / 2)];
  const path: Path = [...plot.path, "crops"];
  const kind = String(parts(at(store.state.doc, ["crops"]))[0]?.["kind"] ?? "other");
  const row = { from: placed(Math.round(box.x0 + wide / 4), y), to: placed(Math.round(box.x1 - wide / 4), y), count: THEIRS };
  let made: Path = [];
  store.change((doc) => { made = add(doc, path, { name: fresh(say("page.thing.theirs"), parts(at(doc, path))), kind, row }); });
  store.set({ selected: made.join(".") });
}

export function Fields({ store, thing, state }: { store: Store; thing: Thing; state: State }): JSX.Element {
  const { part, path, kind } = thing;
  const set = (inside: Path, value: unknown): void => store.change((doc) => put(doc, [...path, ...inside], value));
  const ends = corners(part);
  const unit = state.unit;
  const choices = state.choices;
  const length = (label: string, inside: Path): JSX.Element | null => {
    const value = at(part, inside);
    return value === undefined ? null : (
      <LengthField label={say(label)} unit={unit} value={feet(value)} min={0} onChange={(ft) => set(inside, written(ft))} />
    );
  };
  const count = (label: string, inside: Path): JSX.Element | null => {
    const value = at(part, inside);
    return typeof value === "number" ? <NumberField label={label} value={value} min={1} max={500} onChange={(n) => set(inside, Math.round(n))} /> : null;
  };
  const kinds: Choice[] = kind === "structure" ? structures() : kind === "crop" || kind === "theirs" ? choices?.crops ?? [] : [];
  return (
    <div class="fields">
      <TextField label={say("page.field.name")} value={thing.name} onChange={(name) => store.change((doc) => rename(doc, thing, name))} />
      {kinds.length > 0 ? <ChoiceField label={say("page.field.kind")} value={String(part["kind"] ?? "other")} options={kinds} onChange={(value) => set(["kind"], value)} /> : null}
      {ends.map((end, i) => (
        <div class="pair" key={end.path.join(".")}>
          <LengthField label={edged(state.doc, ends.length > 1 ? `page.field.east.${i + 1}` : "page.field.east")} unit={unit} value={end.x}
            onChange={(ft) => set(end.path, placed(ft, end.y))} />
          <LengthField label={edged(state.doc, ends.length > 1 ? `page.field.north.${i + 1}` : "page.field.north")} unit={unit} value={end.y}
            onChange={(ft) => set(end.path, placed(end.x, ft))} />
        </div>
      ))}
      {length("page.field.radius", ["radius"])}
      {length("page.field.radius", ["ring", "radius"])}
      {count(say("page.field.plants"), ["row", "count"])}
      {count(say("page.field.plants"), ["ring", "count"])}
      {count(edged(state.doc, "page.field.across"), ["block", "count", 0])}
      {count(edged(state.doc, "page.field.up"), ["block", "count", 1])}
      {kind === "crop" ? (
        <NumberField label={say("page.field.worth")} value={typeof part["worth"] === "number" ? part["worth"] : 1} min={0.1} max={100} step="any"
          onChange={(worth) => set(["worth"], worth === 1 ? undefined : worth)} />
      ) : null}
      {kind === "source" ? <Daily part={part} set={set} /> : null}
    </div>
  );
}

/** How many insects a place breeds a day: one number, or a range. */
function Daily({ part, set }: { part: Part; set: (inside: Path, value: unknown) => void }): JSX.Element {
  const a = part["a_day"];
  const [low, high] = Array.isArray(a) ? [Number(a[0]), Number(a[1])] : [typeof a === "number" ? a : 0, typeof a === "number" ? a : 0];
  const write = (from: number, to: number): void => set(["a_day"], from === to ? from : [Math.min(from, to), Math.max(from, to)]);
  return (
    <>
      <NumberField label={say("page.field.day-low")} value={low} min={0} max={10000} onChange={(n) => write(n, Math.max(n, high))} />
      <NumberField label={say("page.field.day-high")} value={high} min={0} max={10000} onChange={(n) => write(Math.min(low, n), n)} />
    </>
  );
}

/** A new name, also where plans and other parts of the file name the thing. */
function rename(doc: Part, thing: Thing, name: string): void {
  const old = thing.name;
  put(doc, [...thing.path, "name"], name);
  const look = (value: unknown, key: string): unknown => {
    if (Array.isArray(value)) return value.map((inside) => look(inside, key));
    if (isPart(value)) {
      for (const [inside, inner] of Object.entries(value)) value[inside] = look(inner, inside);
      return value;
    }
    const names = thing.kind === "neighbor" ? ["owner"] : thing.kind === "crop" ? ["crops", "bed"] : [];
    return names.includes(key) && value === old && typeof value === "string" ? name : value;
  };
  look(doc, "");
}

/** What is not drawn: title, size, pest, how many there are, wind, where they come from. */
export function Around({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const { doc, choices, unit } = state;
  const [width, depth] = size(doc);
  const faults = state.reading?.faults ?? [];
  const fault = (path: Path): string | undefined => faultsAt(faults, path)[0]?.say;
  const set = (path: Path, value: unknown): void => store.change((next) => {
    const inside = path.slice(0, -1);
    if (inside.length > 0 && !isPart(at(next, inside))) put(next, inside, {});
    put(next, path, value);
  });
  const pest = at(doc, ["pest"]);
  const pressure = at(doc, ["surroundings", "pressure"]) ?? "usual";
  const simpleWind = doc["wind"] === undefined || (isPart(doc["wind"]) && !("sectors" in doc["wind"]) && !("file" in doc["wind"]));
  return (
    <div class="fields around">
      <TextField label={say("page.field.title")} value={String(doc["title"] ?? "")} fault={fault(["title"])} onChange={(title) => set(["title"], title)} />
      <LengthField label={edged(doc, "page.field.width")} unit={unit} value={width} min={3} max={600} fault={fault(["yard", "width"])} onChange={(ft) => set(["yard", "width"], written(ft))} />
      <LengthField label={edged(doc, "page.field.depth")} unit={unit} value={depth} min={3} max={600} fault={fault(["yard", "depth"])} onChange={(ft) => set(["yard", "depth"], written(ft))} />
      {typeof pest === "string" ? (
        <ChoiceField label={say("page.field.pest")} value={pest} fault={fault(["pest"])} options={(choices?.pests ?? []).filter(({ id }) => id !== "custom").map(({ id, name }) => ({ id, name }))}
          onChange={(id) => set(["pest"], id)} />
      ) : <p class="field">{say("page.field.own-pest", { name: String(at(pest, ["name"]) ?? at(pest, ["base"]) ?? "") })}</p>}
      {typeof pressure === "string" ? (
        <ChoiceField label={say("page.field.pressure")} value={pressure} options={pressures()} onChange={(word) => set(["surroundings", "pressure"], word)} />
      ) : <p class="field">{say("page.field.counted")}</p>}
      {simpleWind ? (
        <>
          <ChoiceField label={say("page.field.wind")} value={String(at(doc, ["wind", "usually_from"]) ?? "")} none={say("page.wind.unknown")} options={sides()}
            onChange={(side) => store.change((next) => {
              const strength = at(next, ["wind", "strength"]);
              put(next, ["wind"], side === "" ? undefined : { usually_from: side, strength: strength ?? "light" });
            })} />
          {at(doc, ["wind"]) === undefined ? null : (
            <ChoiceField label={say("page.field.strength")} value={String(at(doc, ["wind", "strength"]) ?? "light")} options={strengths()}
              onChange={(strength) => set(["wind", "strength"], strength)} />
          )}
        </>
      ) : <p class="field">{say("page.field.own-wind")}</p>}
      <ChoiceField label={say("page.field.arrivals")} value={String(at(doc, ["surroundings", "arrivals_from", "side"]) ?? "")} none={say("page.arrivals.all")} options={sides()}
        onChange={(side) => set(["surroundings", "arrivals_from"], side === "" ? undefined : { side })} />
      <ChoiceField label={say("page.field.unit")} value={unit} options={[{ id: "ft", name: say("page.unit.ft") }, { id: "pace", name: say("page.unit.pace") }]}
        onChange={(chosen) => store.set({ unit: chosen === "pace" ? "pace" : "ft" })} />
    </div>
  );
}
