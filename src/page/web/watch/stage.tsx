// The insects over the picture of the yard, as they are at a moment of the clock.

import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import type { CheckedYard } from "../types";
import { TrapMark, type Scale } from "../yard/picture";
import { middle, type Thing } from "../yard/things";
import { useClock, type Clock } from "./clock";
import { doing, landings, pathTo, realAt, whereAt, type OneSummer, type Pace } from "./tracks";

interface Props {
  one: OneSummer;
  side: 0 | 1;
  yard: CheckedYard;
  traps: Thing[];
  scale: Scale;
  clock: Clock;
  pace: Pace;
  chosen: number | null;
  /** The whole way of the chosen insect, with its steps in numbers, however far the clock is. */
  still: boolean;
}

/** Plants nearer to each other than this have no room for a number. */
const SMALLEST_GAP_PX = 15;
const WIDEST_PX = 14;

/** Landings on each plant up to a moment. */
function tally(meals: { t: number; plant: number }[], t: number): Map<number, number> {
  const counts = new Map<number, number>();
  for (const { t: when, plant } of meals) if (when <= t) counts.set(plant, (counts.get(plant) ?? 0) + 1);
  return counts;
}

export function Stage({ one, side, yard, traps, scale, clock, pace, chosen, still }: Props): JSX.Element {
  useClock(clock);
  const t = realAt(pace, clock.now);
  const meals = useMemo(() => landings(one, side, yard), [one, side, yard]);
  // The discs of both sides are on one scale, which stays the same from beginning to end.
  const most = useMemo(() => Math.max(...([0, 1] as const).flatMap((either) => [...tally(landings(one, either, yard), Infinity).values()]), 1), [one, yard]);
  const counts = tally(meals, t);
  const wide = useMemo(() => yard.plants.map((plant) => Math.sqrt(yard.plants.reduce(
    (least, other) => (other === plant ? least : Math.min(least, (other.x - plant.x) ** 2 + (other.y - plant.y) ** 2)), Infinity,
  ))), [yard]);
  const line = (points: [number, number, number][]): string => points.map(([, x, y]) => `${scale.x(x).toFixed(1)},${scale.y(y).toFixed(1)}`).join(" ");
  const followed = chosen === null ? undefined : one.insects[chosen]?.sides[side];
  return (
    <g class="insects" aria-hidden="true">
      {[...counts].map(([plant, n]) => {
        const it = yard.plants[plant];
        if (!it) return null;
        const room = (wide[plant] ?? 0) * scale.k;
        const [x, y, r] = [scale.x(it.x), scale.y(it.y), Math.min(Math.max(0.7 * room, 6), WIDEST_PX) * Math.sqrt(n / most)];
        return (
          <g key={plant} class="bites">
            <circle cx={x} cy={y} r={r} />
            {room < SMALLEST_GAP_PX ? null : <text x={x} y={y + 4}>{n}</text>}
          </g>
        );
      })}
      {traps.map(({ id, shape }) => shape && <TrapMark key={id} x={scale.x(middle(shape)[0])} y={scale.y(middle(shape)[1])} />)}
      {one.insects.map(({ id, sides }, i) => {
        const at = i === chosen && still ? null : whereAt(sides[side], t);
        if (!at) return null;
        const now = doing(sides[side], t);
        const [x, y] = [scale.x(at.x), scale.y(at.y)];
        const who = chosen === null ? "insect" : i === chosen ? "insect chosen" : "insect other";
        return (
          <g key={id} class={who}>
            {now === "kept" ? <path d={`M${x - 5} ${y - 5}l10 10m0 -10l-10 10`} /> : <circle class="body" cx={x} cy={y} r={i === chosen ? 5 : 3.5} />}
            {now === "eats" ? <circle class="meal" cx={x} cy={y} r={i === chosen ? 9 : 6.5} /> : null}
          </g>
        );
      })}
      {followed ? pathTo(followed, still ? Infinity : t).map((piece, i) => <polyline key={i} class="way" points={line(piece)} />) : null}
      {followed?.events.map(({ t_s, what }, i) => {
        const at = t_s <= t || still ? whereAt(followed, t_s) : null;
        // It leaves a plant where it landed, so that the step before has the mark.
        if (!at || what === "left" || what === "left-plant") return null;
        return (
          <g key={i} class={t_s <= t ? "step-mark past" : "step-mark"}>
            <circle cx={scale.x(at.x)} cy={scale.y(at.y)} r="8" />
            <text x={scale.x(at.x)} y={scale.y(at.y) + 4}>{i + 1}</text>
          </g>
        );
      })}
    </g>
  );
}
