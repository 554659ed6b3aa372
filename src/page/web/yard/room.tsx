// The room where a yard is drawn: the picture, the list that says the same in words and fields, and the ways in.

import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import { keep } from "../fields";
import { say } from "../say";
import { add, at, isPart, parts, put, useStore, type Part, type Path, type State, type Store } from "../store";
import { Ask } from "./ask";
import { BedForm } from "./bed";
import { Around, Details, faultsAt } from "./details";
import { Picture, TrapMark } from "./picture";
import { corners, extent, fresh, middle, placed, nextTo, shift, size, spotted, things, traps, type Box, type Edge, type Kind, type Thing } from "./things";

/** The usual distance between plants of a kind and the radius of one, in feet. */
export function usualOf(state: State): (kind: string) => { spacing: number; radius: number } {
  return (kind) => state.choices?.crops.find((crop) => crop.id === kind) ?? { spacing: 3, radius: 1.5 };
}

/** A thing and its place. */
export function describe(doc: Part, thing: Thing): string {
  if (!thing.shape) return thing.name;
  return say("page.draw.thing", { sort: say(`page.kind.${thing.kind}`), name: thing.name, spot: spotted(doc, ...middle(thing.shape)) });
}

/** Moves a thing, or one corner of it, to whole feet, as one step to undo. */
export function moveThing(store: Store, thing: Thing, east: number, north: number, corner?: number): void {
  store.change((doc) => {
    const part = at(doc, thing.path) as Part;
    const end = corners(part)[corner ?? 0];
    if (!end) return;
    const [x, y] = [Math.round(end.x + east), Math.round(end.y + north)];
    if (corner === undefined) shift(doc, thing.path, x - end.x, y - end.y);
    else put(part, end.path, placed(x, y));
  }, `move ${thing.id} ${corner ?? ""}`);
}

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const { doc, selected, moving } = state;
  const [way, setWay] = useState<"" | "ask" | "bed">("");
  const file = useRef<HTMLInputElement>(null);
  const all = things(doc, usualOf(state));
  const loose = (state.reading?.faults ?? []).filter((fault) => !all.some((thing) => faultsAt([fault], thing.path).length > 0));

  const remove = (thing: Thing): void => {
    store.change((next) => put(next, thing.path, undefined));
    store.set({ selected: null, spoken: say("page.spoken.removed", { name: thing.name }) });
  };
  const place = (kind: Kind, path: Path, part: Part): void => {
    let made: Path = [];
    store.change((next) => {
      if (path[0] === "surroundings" && !at(next, ["surroundings"])) put(next, ["surroundings"], {});
      made = add(next, path, { ...part, name: fresh(String(part["name"]), parts(at(next, path))) });
    });
    setWay("");
    store.set({ selected: made.join("."), spoken: say("page.spoken.added", { name: say(`page.kind.${kind}`) }) });
  };

  return (
    <div class="yard-room">
      <div class="bar">
        <button type="button" aria-expanded={way === "ask"} onClick={() => setWay(way === "ask" ? "" : "ask")}>{say("page.yard.ask")}</button>
        <label class="pick">
          <span>{say("page.yard.ready")}</span>
          <select value="" onChange={(event) => {
            const chosen = state.choices?.yards.find((yard) => yard.name === event.currentTarget.value);
            event.currentTarget.value = "";
            if (chosen) void store.open(chosen.text, chosen.name);
          }}>
            <option value="">{say("page.yard.choose")}</option>
            {state.choices?.yards.map((yard) => <option key={yard.name} value={yard.name}>{yard.title}</option>)}
          </select>
        </label>
        <button type="button" onClick={() => file.current?.click()}>{say("page.yard.open")}</button>
        <input ref={file} type="file" accept=".json,.csv" multiple hidden aria-label={say("page.yard.open")} onChange={(event) => {
          void store.openFiles([...(event.currentTarget.files ?? [])]);
          event.currentTarget.value = "";
        }} />
        <button type="button" disabled={all.length === 0} onClick={() => { store.change(emptied); store.set({ selected: null }); }}>{say("page.yard.empty")}</button>
        <button type="button" onClick={() => { keep(`${state.name}.json`, store.text()); store.markSaved(); }}>{say("page.yard.save")}</button>
        <button type="button" disabled={!store.canUndo} onClick={() => store.undo()}>{say("page.undo")}</button>
        <button type="button" disabled={!store.canRedo} onClick={() => store.redo()}>{say("page.redo")}</button>
      </div>
      {state.refused ? (
        <div class="refused" role="alert">
          <p><strong>{say("page.yard.refused")}</strong></p>
          <ul>{state.refused.map((line) => <li key={line}>{line}</li>)}</ul>
          <button type="button" onClick={() => store.set({ refused: null })}>{say("page.close")}</button>
        </div>
      ) : null}
      {way === "ask" ? <Ask store={store} done={() => setWay("")} /> : null}
      <div class="side-by-side">
        <div>
          <Picture doc={doc} things={all} selected={selected}
            movable={() => true} describe={(thing) => describe(doc, thing)}
            onSelect={(thing) => store.set({ selected: thing.id })}
            onMove={(thing, east, north, corner) => moveThing(store, thing, east, north, corner)}
            onDrop={() => store.settle()} onRemove={remove}
            layer={(scale) => traps(doc, moving).map((trap) => trap.shape && <TrapMark key={trap.id} open x={scale.x(middle(trap.shape)[0])} y={scale.y(middle(trap.shape)[1])} />)} />
          <p class="hint">{say("page.draw.hint")}</p>
          <p class="next"><a href="#plans">{say("page.draw.next")}</a></p>
          <div class="bar adds" role="group" aria-label={say("page.add")}>
            <button type="button" aria-expanded={way === "bed"} onClick={() => setWay(way === "bed" ? "" : "bed")}>{say("page.add.bed")}</button>
            {ADDS.map(({ key, kind, path, make }) => (
              <button type="button" key={key} onClick={() => {
                const [width, depth] = size(doc);
                place(kind, path, { ...make(width, depth, all), name: say(key) });
              }}>{say(`page.add.plus`, { what: say(key) })}</button>
            ))}
          </div>
          {way === "bed" ? <BedForm store={store} add={(crop) => place("crop", ["crops"], crop)} /> : null}
        </div>
        <div>
          <h3>{say("page.list.title")}</h3>
          <Around store={store} />
          {all.length === 0 ? <p>{say("page.list.empty")}</p> : null}
          <ul class="things">
            {all.map((thing) => (
              <li key={thing.id}>
                <Details store={store} thing={thing} open={thing.id === selected} remove={() => remove(thing)} />
              </li>
            ))}
          </ul>
          {loose.length > 0 ? (
            <ul class="faults">
              {loose.map((fault) => <li key={fault.place + fault.say}>{fault.say} {fault.place.startsWith("plans") ? <a href="#plans">{say("page.room.plans")}</a> : null}</li>)}
            </ul>
          ) : null}
          {state.reading && state.reading.doubts.length > 0 ? (
            <>
              <h3>{say("page.list.doubts")}</h3>
              <ul class="doubts">{state.reading.doubts.map((doubt) => <li key={doubt.say}>{doubt.say}</li>)}</ul>
            </>
          ) : null}
        </div>
      </div>
    </div>
  );
}

/** Takes out all that stands and hangs there; how large the yard is, the pest and the wind stay. */
function emptied(doc: Part): void {
  for (const all of ["crops", "structures", "neighbours", "spots", "no_hang", "plans"]) if (doc[all]) doc[all] = [];
  const around = doc["surroundings"];
  if (isPart(around)) delete around["sources"];
}

type Make = (width: number, depth: number, all: Thing[]) => Part;

/** Where a rectangle of this size stands on nothing else: rows from the south; the middle of the yard where there is no room. */
function free(width: number, depth: number, all: Thing[], wide: number, deep: number): [number, number] {
  const taken = all.flatMap(({ shape, kind }) => (shape && kind !== "neighbor" ? [extent(shape)] : []));
  const clear = (x: number, y: number): boolean => !taken.some((box) => x < box.x1 && box.x0 < x + wide && y < box.y1 && box.y0 < y + deep);
  for (let y = 0; y + deep <= depth; y += 2) {
    for (let step = 0; step + wide <= width; step += 2) {
      // From the middle outward.
      const x = Math.floor((width - wide) / 2) + (step % 4 === 0 ? step / 2 : -(step + 2) / 2);
      if (x >= 0 && x + wide <= width && clear(x, y)) return [x, y];
    }
  }
  return [Math.max(Math.floor((width - wide) / 2), 0), Math.max(Math.floor((depth - deep) / 2), 0)];
}

const boxed = (kind: string, wide: number, deep: number): Make => (width, depth, all) => {
  const [w, d] = [Math.min(wide, width), Math.min(deep, depth)];
  const [x, y] = free(width, depth, all, w, d);
  return { kind, from: placed(x, y), to: placed(x + w, y + d) };
};

const round = (radius: number, more: Part = {}): Make => (width, depth, all) => {
  const [x, y] = free(width, depth, all, 2 * radius, 2 * radius);
  return { ...more, at: placed(x + radius, y + radius), radius: `${radius} ft` };
};

/** Beside the yard, on the first side where no neighbor is. */
const beside: Make = (width, depth, all) => {
  const plots = all.flatMap(({ shape, kind }) => (shape && kind === "neighbor" ? [extent(shape)] : []));
  const clear = (box: Box): boolean => !plots.some((other) => box.x0 < other.x1 && other.x0 < box.x1 && box.y0 < other.y1 && other.y0 < box.y1);
  const sides: Edge[] = ["right", "left", "top", "bottom"];
  const { x0, y0, x1, y1 } = nextTo(width, depth, sides.find((side) => clear(nextTo(width, depth, side))) ?? "right");
  return { from: placed(x0, y0), to: placed(x1, y1), crops: [] };
};

/** What can be set down with one button, where there is room. */
const ADDS: { key: string; kind: Kind; path: Path; make: Make }[] = [
  { key: "page.thing.house", kind: "structure", path: ["structures"], make: boxed("house", 24, 10) },
  { key: "page.thing.shed", kind: "structure", path: ["structures"], make: boxed("shed", 8, 6) },
  { key: "page.thing.tree", kind: "structure", path: ["structures"], make: round(5, { kind: "tree" }) },
  { key: "page.thing.patio", kind: "structure", path: ["structures"], make: boxed("patio", 12, 8) },
  { key: "page.thing.keep-off", kind: "keep-off", path: ["no_hang"], make: round(5) },
  {
    key: "page.thing.spot", kind: "spot", path: ["spots"],
    make: (width, depth, all) => {
      const [x, y] = free(width, depth, all, 6, 6);
      return { at: placed(x + 3, y + 3) };
    },
  },
  { key: "page.thing.neighbor", kind: "neighbor", path: ["neighbours"], make: beside },
  {
    key: "page.thing.source", kind: "source", path: ["surroundings", "sources"],
    make: (width, depth) => ({ at: placed(width + 20, Math.floor(depth / 2)), radius: "10 ft", a_day: [5, 20] }),
  },
];
