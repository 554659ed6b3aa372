// Damage at each plant over the picture of the yard: a disc whose area is the damage of plan B, a ring for plan A, and the
// number where there is room; the same by bed in a table.

import type { JSX } from "preact";
import { say, told } from "../say";
import type { CheckedYard, PlanSoFar } from "../types";
import type { Scale } from "../yard/picture";

/** Radius in feet of a disc for damage of 100 in 100. */
const WHOLE_FT = 4;
/** Cividis, light to dark: darker is more, as in the program's own maps. */
const SHADES = ["#ffea46", "#e4cf5b", "#c4b56c", "#a69d75", "#8a8779", "#707173", "#575c6d", "#39486b", "#00336f", "#00204d"];

const radius = (value: number): number => WHOLE_FT * Math.sqrt(Math.max(value, 0) / 100);

export function Damage({ yard, a, b, scale }: { yard: CheckedYard; a: PlanSoFar; b: PlanSoFar; scale: Scale }): JSX.Element {
  // Small damage must be seen too: the largest disc is about as wide as a finger.
  const most = Math.max(...a.plants, ...b.plants, 1);
  const grow = Math.min(20 / (radius(most) * scale.k), 6);
  return (
    <g class="damage" aria-hidden="true">
      {yard.plants.map((plant, i) => {
        const [was, is] = [a.plants[i] ?? 0, b.plants[i] ?? 0];
        const [x, y] = [scale.x(plant.x), scale.y(plant.y)];
        const r = radius(is) * scale.k * grow;
        const shade = Math.min(Math.floor((is / most) * SHADES.length), SHADES.length - 1);
        return (
          <g key={i}>
            <circle class="is" cx={x} cy={y} r={r} fill={SHADES[shade]} />
            {a === b ? null : <circle class="was" cx={x} cy={y} r={radius(was) * scale.k * grow} />}
            {r >= 10 ? <text class={shade > 4 ? "light" : ""} x={x} y={y + 4}>{Math.round(is)}</text> : null}
          </g>
        );
      })}
    </g>
  );
}

interface Bed { name: string; mine: boolean; n: number; a: number; b: number }

function beds(yard: CheckedYard, a: PlanSoFar, b: PlanSoFar): Bed[] {
  const all = new Map<number, Bed>();
  yard.plants.forEach((plant, i) => {
    const bed = all.get(plant.bed) ?? { name: plant.name, mine: plant.mine, n: 0, a: 0, b: 0 };
    all.set(plant.bed, { ...bed, n: bed.n + 1, a: bed.a + (a.plants[i] ?? 0), b: bed.b + (b.plants[i] ?? 0) });
  });
  return [...all.values()].map((bed) => ({ ...bed, a: bed.a / bed.n, b: bed.b / bed.n }));
}

export function Beds({ yard, a, b }: { yard: CheckedYard; a: PlanSoFar; b: PlanSoFar }): JSX.Element {
  return (
    <table>
      <caption>{say("page.beds.title")}</caption>
      <thead>
        <tr><th scope="col">{say("page.beds.bed")}</th><th scope="col" class="n">A</th><th scope="col" class="n">B</th></tr>
      </thead>
      <tbody>
        {beds(yard, a, b).map((bed, i) => (
          <tr key={i}>
            <th scope="row">{bed.mine ? bed.name : say("page.beds.theirs", { name: bed.name })}</th>
            <td class="n">{told(bed.a)}</td>
            <td class="n">{told(bed.b)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
