// A bed in a gardener's words: so many plants, along that side, so long.

import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { ChoiceField, LengthField, NumberField } from "../fields";
import { say } from "../say";
import { useStore, type Part, type Store } from "../store";
import { usualOf } from "./room";
import { sideAt } from "../words";
import { placed, size, things, TURNS, upward, type Edge } from "./things";

/** How far a bed along a fence stands from it. */
const FROM_FENCE_FT = 3;

/** The row of plants along a side of a rectangle, inside a yard or outside a house. */
export function along(side: Edge, n: number, length: number, box: { x: number; y: number; width: number; depth: number }, inset: number): Part {
  const flat = side === "top" || side === "bottom";
  const line = {
    top: box.y + box.depth - inset, bottom: box.y + inset, right: box.x + box.width - inset, left: box.x + inset,
  }[side];
  const center = flat ? box.x + box.width / 2 : box.y + box.depth / 2;
  const [low, high] = [Math.round(center - length / 2), Math.round(center - length / 2) + length];
  const spot = (a: number): [string, string] => (flat ? placed(a, line) : placed(line, a));
  return n === 1 ? { single: spot(Math.round(center)) } : { row: { from: spot(low), to: spot(high), count: n } };
}

export function BedForm({ store, add }: { store: Store; add: (crop: Part) => void }): JSX.Element {
  const state = useStore(store);
  const crops = state.choices?.crops ?? [];
  const [n, setN] = useState(8);
  const [kind, setKind] = useState("rose");
  const [where, setWhere] = useState("top");
  const [length, setLength] = useState<number | null>(null);
  const [width, depth] = size(state.doc);
  const houses = things(state.doc, usualOf(state)).filter((thing) => thing.kind === "structure" && thing.shape?.form === "box");
  const sides = Object.entries(TURNS).map(([id, turn]) => ({ id, side: sideAt(upward(state.doc) + turn) }));
  const places = [
    ...sides.map(({ id, side }) => ({ id, name: say("page.bed.fence", { side }) })),
    ...houses.flatMap((house) => sides.map(({ id, side }) => ({ id: `${house.id}/${id}`, name: say("page.bed.by", { side, name: house.name }) }))),
  ];
  const [of, side] = where.includes("/") ? (where.split("/") as [string, Edge]) : ["", where as Edge];
  const house = houses.find((thing) => thing.id === of)?.shape;
  const box = house?.form === "box" ? house : { x: 0, y: 0, width, depth };
  const room = side === "top" || side === "bottom" ? width : depth;
  const usual = Math.min((n - 1) * usualOf(state)(kind).spacing, room);
  const make = (): void => {
    const chosen = crops.find((crop) => crop.id === kind);
    const long = Math.min(length ?? usual, room);
    add({ name: chosen?.plural ?? chosen?.name ?? kind, kind, ...along(side, n, long, box, house ? -FROM_FENCE_FT : Math.min(FROM_FENCE_FT, room / 2)) });
  };
  return (
    <form class="box" onSubmit={(event) => { event.preventDefault(); make(); }}>
      <div class="fields">
        <NumberField label={say("page.bed.count")} value={n} min={1} max={500} onChange={(value) => setN(Math.round(value))} />
        <ChoiceField label={say("page.bed.plant")} value={kind} options={crops} onChange={setKind} />
        <ChoiceField label={say("page.bed.side")} value={where} options={places} onChange={setWhere} />
        <LengthField label={say("page.bed.length")} unit={state.unit} value={length ?? usual} min={0} max={room} onChange={setLength} />
      </div>
      <button type="submit">{say("page.bed.add")}</button>
    </form>
  );
}
