// The yard of a lesson, with letters and marks that can be read from the back row.

import type { JSX } from "preact";
import type { Part, State } from "../store";
import type { CheckedYard, SoFar } from "../types";
import { Damage } from "../plans/damage";
import { Picture, TrapMark, type Scale } from "../yard/picture";
import { usualOf } from "../yard/room";
import { middle, things, traps, type Thing } from "../yard/things";

/** A trap is drawn so many times as large as where it is dragged. */
const LARGER = 1.7;

function Mark({ trap, scale }: { trap: Thing; scale: Scale }): JSX.Element | null {
  if (!trap.shape) return null;
  const [x, y] = middle(trap.shape);
  return <g transform={`translate(${scale.x(x)} ${scale.y(y)}) scale(${LARGER})`}><TrapMark x={0} y={0} /></g>;
}

/** The name of a bed, over its northernmost plant. */
function Name({ thing, scale }: { thing: Thing; scale: Scale }): JSX.Element | null {
  if (thing.shape?.form !== "plants") return null;
  const north = Math.max(...thing.shape.plants.map(([, y]) => y)) + thing.shape.canopy;
  return <text x={scale.x(middle(thing.shape)[0])} y={scale.y(north) - 10}>{thing.name}</text>;
}

export function Board({ doc, state, yard, soFar }: { doc: Part; state: State; yard: CheckedYard | null; soFar: SoFar | null }): JSX.Element {
  const all = things(doc, usualOf(state));
  const [a, b] = soFar?.plans ?? [];
  return (
    <Picture doc={doc} things={all.map((thing) => ({ ...thing, name: "" }))}
      layer={(scale) => (
        <>
          {yard && a && b ? <Damage yard={yard} a={a} b={b} scale={scale} /> : null}
          {all.filter((thing) => thing.kind === "crop").map((thing) => <Name key={thing.id} thing={thing} scale={scale} />)}
          {traps(doc, 1).map((trap) => <Mark key={trap.id} trap={trap} scale={scale} />)}
        </>
      )} />
  );
}
