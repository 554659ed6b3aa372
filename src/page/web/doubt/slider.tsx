// One unknown on a slider: what the answer is at each value that was tried, and where its word turns.

import type { JSX } from "preact";
import { useId, useState } from "preact/hooks";
import { say, signed, told } from "../say";
import { withUnit } from "./numbers";
import type { Flip, Level, Sweep } from "./vary";

const WIDTH = 360;
const HEIGHT = 170;
const SIDE = 44;
const TOP = 12;
const BOTTOM = 22;


/** What the average at a value says: more, less or no change, by the band that counts as no change. */
const word = ({ change }: Level, band: number): string => (change > band ? "more" : change < -band ? "less" : "no-change");

export function Slider({ sweep, turns, band }: { sweep: Sweep; turns: Flip[]; band: number }): JSX.Element {
  const { unknown, levels } = sweep;
  const id = useId();
  const [at, move] = useState(Math.floor(levels.length / 2));
  const level = levels[at];
  const [low, high] = [
    Math.min(-band, ...levels.map((one) => one.change - 2 * one.error)), Math.max(band, ...levels.map((one) => one.change + 2 * one.error)),
  ];
  const x = (i: number): number => SIDE + (i * (WIDTH - 2 * SIDE)) / Math.max(levels.length - 1, 1);
  const y = (change: number): number => TOP + ((high - change) / (high - low)) * (HEIGHT - TOP - BOTTOM);
  /** Where a value lies along the slider. */
  const along = (value: number): number => {
    const share = unknown.log ? Math.log(value / unknown.low) / Math.log(unknown.high / unknown.low) : (value - unknown.low) / (unknown.high - unknown.low);
    return SIDE + share * (WIDTH - 2 * SIDE);
  };
  const value = withUnit(level?.value ?? 0, unknown.unit);
  const says = level ? say("page.doubt.at", { value, change: signed(level.change), error: told(2 * level.error), word: say(`page.doubt.word.${word(level, band)}`) }) : "";
  return (
    <section class="slider" aria-label={unknown.name}>
      <h4>{unknown.name}</h4>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={say("page.doubt.picture", { name: unknown.name })}>
        <rect class="band" x={SIDE} width={WIDTH - 2 * SIDE} y={y(band)} height={y(-band) - y(band)} />
        <path class="zero" d={`M${SIDE} ${y(0)}H${WIDTH - SIDE}`} />
        <text class="axis" x={SIDE - 6} y={y(high) + 4}>{signed(high)}</text>
        <text class="axis" x={SIDE - 6} y={y(0) + 4}>0</text>
        {turns.map((turn) => <path key={turn.at} class="turn" d={`M${along(turn.at)} ${TOP}V${HEIGHT - BOTTOM}`} />)}
        {levels.map((one, i) => <path key={i} class="error" d={`M${x(i)} ${y(one.change - 2 * one.error)}V${y(one.change + 2 * one.error)}`} />)}
        <polyline points={levels.map((one, i) => `${x(i)},${y(one.change)}`).join(" ")} />
        {levels.map((one, i) => <circle key={i} class={i === at ? "here" : ""} cx={x(i)} cy={y(one.change)} r={i === at ? 7 : 4} />)}
        <text class="start" x={2} y={HEIGHT - 5}>{withUnit(unknown.low, unknown.unit)}</text>
        <text class="axis" x={WIDTH - 2} y={HEIGHT - 5}>{withUnit(unknown.high, unknown.unit)}</text>
      </svg>
      <label for={id}>{say("page.doubt.slide", { name: unknown.name })}</label>
      <input id={id} type="range" min={0} max={levels.length - 1} step={1} value={at} aria-valuetext={says}
        onInput={(event) => move(Number(event.currentTarget.value))} />
      <p>{says}</p>
      {turns.length === 0 ? <p>{say("page.doubt.turn.none")}</p> : turns.map((turn) => (
        <p key={turn.at}>
          <strong>{say(turn.above ? "page.doubt.turn.above" : "page.doubt.turn.below", { value: withUnit(turn.at, unknown.unit), word: say(`page.doubt.word.${turn.to}`) })}</strong>
          {" "}{turn.sure ? null : say("page.doubt.turn.unsure")}
        </p>
      ))}
      <details>
        <summary>{say("page.doubt.why.range")}</summary>
        <p>{say("page.doubt.source")} <q>{unknown.source}</q></p>
      </details>
    </section>
  );
}
