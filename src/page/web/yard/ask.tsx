// The way in for someone who has never drawn a yard: plain questions, and a yard from the answers.

import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { ChoiceField, LengthField, NumberField } from "../fields";
import { say } from "../say";
import { useStore, type Part, type Store } from "../store";
import type { Choice, CropChoice } from "../types";
import { pressures, sides } from "../words";

interface Answers { pest: string; crop: string; width: number; depth: number; plants: number; side: string; away: number; wind: string; pressure: string }

/** Sides that a row of plants can stand along. */
const MAIN = ["north", "east", "south", "west"];

export function Ask({ store, done }: { store: Store; done: () => void }): JSX.Element {
  const state = useStore(store);
  const choices = state.choices;
  const [a, setA] = useState<Answers>({
    pest: "japanese-beetle", crop: "raspberry", width: 60, depth: 40, plants: 8, side: "north", away: 10, wind: "unknown", pressure: "usual",
  });
  const [refused, setRefused] = useState("");
  const take = (change: Partial<Answers>): void => setA({ ...a, ...change });
  const winds: Choice[] = [
    { id: "unknown", name: say("page.wind.unknown") }, { id: "still", name: say("page.wind.still") }, ...sides(),
  ];
  const make = async (): Promise<void> => {
    const { width, depth, away, ...words } = a;
    try {
      const { text } = await store.client.compose({ ...words, width_ft: width, depth_ft: depth, trap_ft: away }, state.language);
      store.replace(JSON.parse(text) as Part, "my-yard");
      done();
    } catch (why) {
      setRefused((why as Error).message);
    }
  };
  const plain = (choices?.pests ?? []).filter((pest) => pest.id !== "custom");
  // What the pest lives on comes first.
  const crops = (pest: string): CropChoice[] => [...(choices?.crops ?? [])].sort((one, other) => Number(other.pests.includes(pest)) - Number(one.pests.includes(pest)));
  const choose = (pest: string): void => {
    const [first, eaten] = [crops(pest)[0], crops(pest).find(({ id }) => id === a.crop)?.pests.includes(pest)];
    take({ pest, crop: eaten || !first ? a.crop : first.id });
  };
  return (
    <form class="box" onSubmit={(event) => { event.preventDefault(); void make(); }}>
      <p>{say("page.ask.lead")}</p>
      <div class="fields">
        <ChoiceField label={say("yard.new.pest")} value={a.pest} options={plain.map(({ id, name }) => ({ id, name }))} onChange={choose} />
        <ChoiceField label={say("yard.new.crop")} value={a.crop} options={crops(a.pest)} onChange={(crop) => take({ crop })} />
        <LengthField label={say("yard.new.width")} unit={state.unit} value={a.width} min={3} max={600} onChange={(width) => take({ width })} />
        <LengthField label={say("yard.new.depth")} unit={state.unit} value={a.depth} min={3} max={600} onChange={(depth) => take({ depth })} />
        <NumberField label={say("yard.new.plants")} value={a.plants} min={1} max={500} onChange={(n) => take({ plants: Math.round(n) })} />
        <ChoiceField label={say("page.ask.side")} value={a.side} options={sides().filter(({ id }) => MAIN.includes(id))} onChange={(side) => take({ side })} />
        <LengthField label={say("yard.new.trap-distance")} unit={state.unit} value={a.away} min={1} max={600} onChange={(away) => take({ away })} />
        <ChoiceField label={say("page.ask.wind")} value={a.wind} options={winds} onChange={(wind) => take({ wind })} />
        <ChoiceField label={say("page.ask.pressure")} value={a.pressure} options={pressures()} onChange={(pressure) => take({ pressure })} />
      </div>
      {refused === "" ? null : <p class="refused" role="alert">{refused}</p>}
      <div class="bar">
        <button type="submit" class="main">{say("page.ask.make")}</button>
        <button type="button" onClick={done}>{say("page.close")}</button>
      </div>
    </form>
  );
}
