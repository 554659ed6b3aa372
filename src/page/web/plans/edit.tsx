// What plan B does, in fields: traps, nets, bags, picking and the rest, and what it costs.

import type { JSX } from "preact";
import { ChoiceField, LengthField, NumberField, TextField, Tick } from "../fields";
import { say } from "../say";
import { add, at, isPart, parts, plans, put, useStore, type Part, type Path, type Store } from "../store";
import { edges } from "../words";
import { faultsAt } from "../yard/details";
import { edged, fresh, place, placed, size, spotted, traps, type Thing } from "../yard/things";

/** A net that is too fine for every pest of the catalogue, and safe for wildlife. */
const FINE_MM = 1;

/** What a new method starts with. */
const METHODS: { id: string; make: () => Part }[] = [
  { id: "row-cover", make: () => ({ method: "row-cover", mesh_mm: FINE_MM }) },
  { id: "fruit-bags", make: () => ({ method: "fruit-bags" }) },
  { id: "hand-removal", make: () => ({ method: "hand-removal", times: ["19:00"] }) },
  { id: "repellent", make: () => ({ method: "repellent", every: 7, times: ["19:00"] }) },
  { id: "water-spray", make: () => ({ method: "water-spray", times: ["19:00"] }) },
];

/** The times of day that hands work at, as choices. */
const TIMES = ["07:00", "12:00", "16:00", "19:00", "22:00"];

export function EditPlan({ store, plan }: { store: Store; plan: number }): JSX.Element | null {
  const state = useStore(store);
  const { doc, choices } = state;
  const path: Path = ["plans", plan];
  const part = at(doc, path);
  if (!isPart(part)) return null;
  const name = String(part["name"] ?? "");
  const set = (inside: Path, value: unknown): void => store.change((next) => put(next, [...path, ...inside], value));
  const faults = faultsAt(state.reading?.faults ?? [], path);
  const hang = (): void => {
    const [width, depth] = size(doc);
    store.change((next) => {
      const made = add(next, [...path, "traps"], { at: placed(Math.floor(width / 2), Math.floor(depth / 2)) });
      store.set({ selected: made.join(".") });
    });
  };
  const methods = Array.isArray(part["methods"]) ? part["methods"] : [];
  const methodName = (id: string): string => choices?.methods.find((method) => method.id === id)?.name ?? id;
  return (
    <section class="box" aria-label={say("page.plan.edit", { name })}>
      <h3>{say("page.plan.edit", { name })}</h3>
      {faults.length > 0 ? <ul class="faults">{faults.map((fault) => <li key={fault.place + fault.say}>{fault.say}</li>)}</ul> : null}
      <div class="fields">
        <TextField label={say("page.plan.name")} value={name} onChange={(value) => set(["name"], fresh(value, plans(doc).filter((_, i) => i !== plan)))} />
        {(["minutes", "dollars"] as const).map((cost) => (
          <NumberField key={cost} label={say(`page.plan.own.${cost}`)} value={typeof part[cost] === "number" ? part[cost] : null} min={0}
            onChange={(value) => set([cost], value)} onClear={() => set([cost], undefined)} />
        ))}
      </div>
      <ul class="things">
        {traps(doc, plan).map((trap, i) => (
          <li key={trap.id}><TrapFields store={store} trap={trap} n={i + 1} /></li>
        ))}
        {methods.map((method: unknown, i) => (isPart(method) ? (
          <li key={i}>
            <MethodFields store={store} path={[...path, "methods", i]} method={method} name={methodName(String(method["method"]))} />
          </li>
        ) : null))}
      </ul>
      <div class="bar adds" role="group" aria-label={say("page.plan.add")}>
        <button type="button" onClick={hang}>{say("page.add.plus", { what: say("page.kind.trap") })}</button>
        {METHODS.map(({ id, make }) => (
          <button type="button" key={id} onClick={() => store.change((next) => { add(next, [...path, "methods"], make()); })}>
            {say("page.add.plus", { what: methodName(id) })}
          </button>
        ))}
      </div>
    </section>
  );
}

function TrapFields({ store, trap, n }: { store: Store; trap: Thing; n: number }): JSX.Element {
  const state = useStore(store);
  const { part, path } = trap;
  const spot = place(part["at"]) ?? [0, 0];
  const set = (inside: Path, value: unknown): void => store.change((doc) => put(doc, [...path, ...inside], value === "" ? undefined : value));
  const pest = typeof state.doc["pest"] === "string" ? state.doc["pest"] : "custom";
  const lures = (state.choices?.lures ?? []).filter((lure) => lure.pest === null || lure.pest === pest);
  const owners = parts(state.doc["neighbours"]).map((neighbor) => ({ id: String(neighbor["name"]), name: String(neighbor["name"]) }));
  const label = trap.name || say("page.trap.n", { n });
  return (
    <details open={state.selected === trap.id}>
      <summary onClick={(event) => { event.preventDefault(); store.set({ selected: state.selected === trap.id ? null : trap.id }); }}>
        {say("page.draw.thing", { sort: say("page.kind.trap"), name: label, spot: spotted(state.doc, ...spot) })}
      </summary>
      <div class="fields">
        <LengthField label={edged(state.doc, "page.field.east")} unit={state.unit} value={spot[0]} onChange={(ft) => set(["at"], placed(ft, spot[1]))} />
        <LengthField label={edged(state.doc, "page.field.north")} unit={state.unit} value={spot[1]} onChange={(ft) => set(["at"], placed(spot[0], ft))} />
        <ChoiceField label={say("page.trap.kind")} value={String(part["kind"] ?? "")} none={say("page.usual")} options={state.choices?.traps ?? []} onChange={(kind) => set(["kind"], kind)} />
        <ChoiceField label={say("page.trap.lure")} value={String(part["lure"] ?? "")} none={say("page.usual")} options={lures} onChange={(lure) => set(["lure"], lure)} />
        <NumberField label={say("page.trap.lures")} value={typeof part["lures"] === "number" ? part["lures"] : 1} min={1} max={10}
          onChange={(lures) => set(["lures"], lures <= 1 ? undefined : Math.round(lures))} />
        {owners.length > 0 ? (
          <ChoiceField label={say("page.trap.owner")} value={String(part["owner"] ?? "")} none={say("page.trap.mine")} options={owners} onChange={(owner) => set(["owner"], owner)} />
        ) : null}
      </div>
      <button type="button" onClick={() => store.change((doc) => put(doc, path, undefined))}>{say("page.remove", { name: label })}</button>
    </details>
  );
}

function MethodFields({ store, path, method, name }: { store: Store; path: Path; method: Part; name: string }): JSX.Element {
  const state = useStore(store);
  const set = (key: string, value: unknown): void => store.change((doc) => put(doc, [...path, key], value));
  const mine = parts(state.doc["crops"]).map((crop) => String(crop["name"]));
  const chosen = Array.isArray(method["crops"]) ? method["crops"].map(String) : mine;
  const pick = (crop: string, on: boolean): void => {
    const next = mine.filter((known) => (known === crop ? on : chosen.includes(known)));
    if (next.length > 0) set("crops", next.length === mine.length ? undefined : next);
  };
  const times = Array.isArray(method["times"]) ? method["times"].map(String) : [];
  return (
    <details>
      <summary>{name}</summary>
      <div class="fields">
        {mine.length > 1 ? (
          <fieldset>
            <legend>{say("page.method.crops")}</legend>
            {mine.map((crop) => <Tick key={crop} label={crop} on={chosen.includes(crop)} onChange={(on) => pick(crop, on)} />)}
          </fieldset>
        ) : null}
        {typeof method["mesh_mm"] === "number" ? (
          <>
            <NumberField label={say("page.method.mesh")} value={method["mesh_mm"]} min={0} max={100} step={0.1} onChange={(mm) => set("mesh_mm", mm)} />
            <ChoiceField label={say("page.method.edges")} value={String(method["edges"] ?? "usual")} options={edges()} onChange={(edge) => set("edges", edge === "usual" ? undefined : edge)} />
          </>
        ) : null}
        {method["method"] === "fruit-bags" ? (
          <NumberField label={say("page.method.share")} value={Math.round(100 * (typeof method["share"] === "number" ? method["share"] : 1))} min={1} max={100}
            onChange={(percent) => set("share", percent === 100 ? undefined : percent / 100)} />
        ) : null}
        {times.length > 0 ? (
          <fieldset>
            <legend>{say("page.method.times")}</legend>
            {[...new Set([...TIMES, ...times])].sort().map((time) => (
              <Tick key={time} label={time} on={times.includes(time)} onChange={(on) => {
                const next = on ? [...times, time].sort() : times.filter((known) => known !== time);
                if (next.length > 0) set("times", next);
              }} />
            ))}
          </fieldset>
        ) : null}
        {method["method"] === "hand-removal" || method["method"] === "water-spray" ? (
          <NumberField label={say("page.method.week")} value={typeof method["days_a_week"] === "number" ? method["days_a_week"] : 7} min={1} max={7}
            onChange={(days) => set("days_a_week", days === 7 ? undefined : Math.round(days))} />
        ) : null}
        {method["method"] === "repellent" ? (
          <NumberField label={say("page.method.every")} value={typeof method["every"] === "number" ? method["every"] : 7} min={1} max={60} onChange={(days) => set("every", Math.round(days))} />
        ) : null}
      </div>
      <button type="button" onClick={() => store.change((doc) => put(doc, path, undefined))}>{say("page.remove", { name })}</button>
    </details>
  );
}
