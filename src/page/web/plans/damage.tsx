// Damage at each plant over the picture of the yard: a disc whose area is the damage of plan B, a ring for plan A, and the
// number where there is room; the same by bed in a table.

import type { JSX } from "preact";
import { say, told } from "../say";
import type { CheckedYard, PlanSoFar } from "../types";
import type { Scale } from "../yard/picture";

/** Cividis, light to dark: darker is more, as in the program's own maps. */
const SHADES = ["#ffea46", "#e4cf5b", "#c4b56c", "#a69d75", "#8a8779", "#707173", "#575c6d", "#39486b", "#00336f", "#00204d"];
/** Ends of the scale: the same for both plans, and the same while a trap is dragged about. */
const SCALES = [5, 10, 20, 50, 100];
const SMALLEST_PX = 7;
const LARGEST_PX = 22;

/** The damage that the largest disc stands for. */
export function scaleEnd(a: PlanSoFar, b: PlanSoFar): number {
  const most = Math.max(...a.plants, ...b.plants, 0);
  return SCALES.find((end) => most <= end) ?? 100;
}

/** Feet from each plant to the nearest other. */
function gaps(yard: CheckedYard): number[] {
  return yard.plants.map((one) => Math.sqrt(yard.plants.reduce(
    (least, other) => (other === one ? least : Math.min(least, (other.x - one.x) ** 2 + (other.y - one.y) ** 2)), Infinity,
  )));
}

export function Damage({ yard, a, b, scale }: { yard: CheckedYard; a: PlanSoFar; b: PlanSoFar; scale: Scale }): JSX.Element {
  const end = scaleEnd(a, b);
  const room = gaps(yard).map((gap) => gap * scale.k);
  const usual = [...room].sort((one, other) => one - other)[Math.floor(room.length / 2)] ?? LARGEST_PX;
  const whole = Math.min(Math.max(0.6 * usual, SMALLEST_PX), LARGEST_PX);
  const radius = (value: number): number => whole * Math.sqrt(Math.min(Math.max(value, 0) / end, 1));
  return (
    <g class="damage" aria-hidden="true">
      {yard.plants.map((plant, i) => {
        const [was, is] = [a.plants[i] ?? 0, b.plants[i] ?? 0];
        const [x, y] = [scale.x(plant.x), scale.y(plant.y)];
        const shade = Math.min(Math.floor((is / end) * SHADES.length), SHADES.length - 1);
        return (
          <g key={i}>
            <circle class="is" cx={x} cy={y} r={radius(is)} fill={SHADES[shade]} />
            {a === b ? null : <circle class="was under" cx={x} cy={y} r={radius(was)} />}
            {a === b ? null : <circle class="was" cx={x} cy={y} r={radius(was)} />}
            {(room[i] ?? 0) >= 18 ? <text x={x} y={y + whole + 13}>{Math.round(is)}</text> : null}
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
    const bed = all.get(plant.crop) ?? { name: plant.bed, mine: plant.mine, n: 0, a: 0, b: 0 };
    all.set(plant.crop, { ...bed, n: bed.n + 1, a: bed.a + (a.plants[i] ?? 0), b: bed.b + (b.plants[i] ?? 0) });
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
