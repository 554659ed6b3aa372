// The way in for someone who has never drawn a yard: eight plain questions, and a yard from the answers.

import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { ChoiceField, LengthField, NumberField } from "../fields";
import { say } from "../say";
import { useStore, type Part, type Store } from "../store";
import type { Choice } from "../types";
import { written } from "../units";
import { pressures, sides } from "../words";
import { usualOf } from "./room";
import { placed } from "./things";

/** A net that is too fine for every pest of the catalogue, and safe for wildlife. */
export const FINE_MM = 1;

interface Answers { pest: string; crop: string; width: number; depth: number; plants: number; away: number; wind: string; pressure: string }

/** The yard of the answers: a row across it, a trap south of its middle, one in the far corner, and what else could be done. */
export function composed(a: Answers, plural: string, spacing: number, pest: { mover: string; guild: string } | undefined): Part {
  const row = Math.min((a.plants - 1) * spacing, a.width);
  const y = Math.min(Math.max(0.75 * a.depth, a.away), a.depth);
  const middle = a.width / 2;
  const trap = (name: string, x: number, north: number): Part => ({ name: say(name), at: placed(x, Math.max(north, 0)) });
  const crawls = pest?.mover === "crawler";
  const plans: Part[] = [
    { name: say("yard.plan.none"), traps: [] },
    { name: say("yard.new.plan.row"), traps: [trap("yard.new.trap.near", middle, y - a.away)] },
    { name: say("yard.new.plan.corner"), traps: [trap("yard.new.trap.corner", Math.min(0.5, a.width), Math.min(0.5, a.depth))] },
  ];
  if (pest?.guild === "chewer" || pest?.guild === "piercer") {
    plans.push({ name: say(crawls ? "yard.new.plan.dark" : "yard.new.plan.dusk"), methods: [{ method: "hand-removal", times: [crawls ? "22:00" : "19:00"] }] });
  }
  if (pest?.guild !== "visitor" && !crawls) plans.push({ name: say("yard.new.plan.net"), methods: [{ method: "row-cover", mesh_mm: FINE_MM }] });
  const wind = a.wind === "unknown" ? {} : { wind: a.wind === "still" ? { strength: "still" } : { usually_from: a.wind, strength: "light" } };
  return {
    format: 1,
    title: say("yard.new.title", { plants: plural }),
    note: say(a.wind === "unknown" ? "yard.new.note.wind" : "yard.new.note"),
    yard: { width: written(a.width), depth: written(a.depth) },
    crops: [{
      name: plural, kind: a.crop,
      ...(a.plants === 1
        ? { single: placed(middle, y) }
        : { row: { from: placed(middle - row / 2, y), to: placed(middle + row / 2, y), count: a.plants } }),
    }],
    surroundings: { pressure: a.pressure },
    ...wind,
    pest: a.pest,
    plans,
  };
}

export function Ask({ store, done }: { store: Store; done: () => void }): JSX.Element {
  const state = useStore(store);
  const choices = state.choices;
  const [a, setA] = useState<Answers>({
    pest: "japanese-beetle", crop: "raspberry", width: 60, depth: 40, plants: 8, away: 10, wind: "unknown", pressure: "usual",
  });
  const take = (change: Partial<Answers>): void => setA({ ...a, ...change });
  const winds: Choice[] = [
    { id: "unknown", name: say("page.wind.unknown") }, { id: "still", name: say("page.wind.still") }, ...sides(),
  ];
  const make = (): void => {
    const crop = choices?.crops.find((known) => known.id === a.crop);
    store.replace(composed(a, crop?.plural ?? crop?.name ?? a.crop, usualOf(state)(a.crop).spacing, choices?.pests.find(({ id }) => id === a.pest)), "my-yard");
    done();
  };
  const plain = (choices?.pests ?? []).filter((pest) => pest.id !== "custom");
  return (
    <form class="box" onSubmit={(event) => { event.preventDefault(); make(); }}>
      <p>{say("page.ask.lead")}</p>
      <div class="fields">
        <ChoiceField label={say("yard.new.pest")} value={a.pest} options={plain.map(({ id, name }) => ({ id, name }))} onChange={(pest) => take({ pest })} />
        <ChoiceField label={say("yard.new.crop")} value={a.crop} options={choices?.crops ?? []} onChange={(crop) => take({ crop })} />
        <LengthField label={say("yard.new.width")} unit={state.unit} value={a.width} min={3} max={600} onChange={(width) => take({ width })} />
        <LengthField label={say("yard.new.depth")} unit={state.unit} value={a.depth} min={3} max={600} onChange={(depth) => take({ depth })} />
        <NumberField label={say("yard.new.plants")} value={a.plants} min={1} max={500} onChange={(n) => take({ plants: Math.round(n) })} />
        <LengthField label={say("yard.new.trap-distance")} unit={state.unit} value={a.away} min={0} max={a.depth} onChange={(away) => take({ away })} />
        <ChoiceField label={say("page.ask.wind")} value={a.wind} options={winds} onChange={(wind) => take({ wind })} />
        <ChoiceField label={say("page.ask.pressure")} value={a.pressure} options={pressures()} onChange={(pressure) => take({ pressure })} />
      </div>
      <div class="bar">
        <button type="submit" class="main">{say("page.ask.make")}</button>
        <button type="button" onClick={done}>{say("page.close")}</button>
      </div>
    </form>
  );
}
