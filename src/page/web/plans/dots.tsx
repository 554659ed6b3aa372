// The change of 20 summers, a mark for each: three heaps that say more, no change, less. Shape and place say it, not color.

import type { JSX } from "preact";
import { say } from "../say";
import type { PlanSoFar } from "../types";

const HEAPS = ["less", "same", "more"] as const;
const STEP = 20;

function Mark({ word, x, y }: { word: string; x: number; y: number }): JSX.Element {
  if (word === "same") return <circle class="same" cx={x} cy={y} r="6" />;
  return <path class={word} d={word === "more" ? `M${x} ${y - 7}l7 12h-14z` : `M${x} ${y + 7}l7 -12h-14z`} />;
}

/** Marks of one word, heaped from the ground in columns of so many rows; as wide as its place where it is not sized. */
export function Heap({ word, n, rows, sized = false }: { word: string; n: number; rows: number; sized?: boolean }): JSX.Element {
  const [width, height] = [Math.max(Math.ceil(n / rows), 1) * STEP, rows * STEP];
  return (
    <svg {...(sized ? { width, height } : {})} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      {Array.from({ length: n }, (_, i) => (
        <Mark key={i} word={word} x={(Math.floor(i / rows) + 0.5) * STEP} y={height - ((i % rows) + 0.5) * STEP} />
      ))}
    </svg>
  );
}

export function Dots({ counts, against }: Pick<PlanSoFar, "counts"> & { against: string }): JSX.Element {
  return (
    <ul class="heaps" aria-label={say("page.dots.title", { name: against })}>
      {HEAPS.map((word) => (
        <li key={word}>
          <Heap word={word} n={counts[word]} rows={5} sized />
          <span>{say(`page.dots.${word}`, { n: counts[word], of: counts.of })}</span>
        </li>
      ))}
    </ul>
  );
}
