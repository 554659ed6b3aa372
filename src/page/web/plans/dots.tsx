// The change of 20 summers, a mark for each: three heaps that say more, no change, less. Shape and place say it, not color.

import type { JSX } from "preact";
import { say } from "../say";
import type { PlanSoFar } from "../types";

const HEAPS = [["less", -1], ["same", 0], ["more", 1]] as const;
const ROWS = 5;
const STEP = 20;

function Mark({ sign, x, y }: { sign: number; x: number; y: number }): JSX.Element {
  if (sign === 0) return <circle class="same" cx={x} cy={y} r="6" />;
  return <path class={sign > 0 ? "more" : "less"} d={sign > 0 ? `M${x} ${y - 7}l7 12h-14z` : `M${x} ${y + 7}l7 -12h-14z`} />;
}

export function Dots({ dots, counts, against }: Pick<PlanSoFar, "dots" | "counts"> & { against: string }): JSX.Element {
  return (
    <ul class="heaps" aria-label={say("page.dots.title", { name: against })}>
      {HEAPS.map(([word, sign]) => {
        const n = dots.filter((dot) => dot === sign).length;
        const columns = Math.max(Math.ceil(n / ROWS), 1);
        return (
          <li key={word}>
            <svg width={columns * STEP} height={ROWS * STEP} viewBox={`0 0 ${columns * STEP} ${ROWS * STEP}`} aria-hidden="true">
              {Array.from({ length: n }, (_, i) => (
                <Mark key={i} sign={sign} x={(Math.floor(i / ROWS) + 0.5) * STEP} y={ROWS * STEP - ((i % ROWS) + 0.5) * STEP} />
              ))}
            </svg>
            <span>{say(`page.dots.${word}`, { n: counts[word], of: counts.of })}</span>
          </li>
        );
      })}
    </ul>
  );
}
