// The lessons: each is the class yard with one thing changed. Only names are texts; all numbers are the ready yard's, or stand here.

import { say } from "../say";
import { isPart, parts, type Part, type State } from "../store";

/** The lessons in the order of their keys; the last is the counter-story. */
export const LEVELS = ["trap", "distance", "number", "wind", "hands", "net", "helps"] as const;
export type Level = (typeof LEVELS)[number];

/**
 * The ready yard of the lessons, without its neighbor. Its summers disagree: groups 1 to 6 count more damage with the near
 * trap in 12, 11, 11, 14, 12 and 13 of their 20 summers, and no change in the others. It is small enough to run while a class
 * waits, and every lesson changes one thing of it.
 */
const YARD = "allotment-beetles";

const trap = (x: number, y: number, more: Part = {}): Part => ({ at: [`${x} ft`, `${y} ft`], kind: "bucket", lure: "japanese-beetle-both", ...more });
const near = trap(30, 20);
const berries = (): string => say("page.class.berries");

const PLANS: Record<Exclude<Level, "helps">, () => Part> = {
  trap: () => ({ traps: [near] }),
  distance: () => ({ traps: [trap(56, 12)] }),
  number: () => ({ traps: [18, 26, 34, 42].map((x) => trap(x, 20)) }),
  wind: () => ({ traps: [near] }),
  hands: () => ({ methods: [{ method: "hand-removal", times: ["19:00"] }] }),
  net: () => ({ methods: [{ method: "row-cover", crops: [berries()], mesh_mm: 4 }] }),
};

/**
 * A lone bed with a stock of its own, and traps all round that are emptied often: less damage in 16 to 20 of 20 summers with the
 * seeds 1 to 4, and never more.
 */
const lone = (): Part => ({
  format: 1,
  yard: { width: "60 ft", depth: "40 ft" },
  crops: [{ name: berries(), kind: "raspberry", row: { from: ["18 ft", "20 ft"], to: ["42 ft", "20 ft"], count: 9 } }],
  surroundings: { pressure: "usual", setting: "isolated", margin: "60 ft", seasons: 3 },
  wind: { usually_from: "west", strength: "light" },
  pest: "japanese-beetle",
  window: { first_day: "2026-07-01", days: 14 },
  plans: [{ traps: [0, 20, 40, 60].flatMap((x) => [trap(x, 0, { empty_every: 2 }), trap(x, 40, { empty_every: 2 })]) }],
});

/** The ready yard with names in the language of the page. */
function ready(state: State): Part {
  const found = state.choices?.yards.find((yard) => yard.name === YARD);
  const doc: unknown = JSON.parse(found?.text ?? "{}");
  const yard = isPart(doc) ? doc : {};
  const [first, second] = parts(yard["crops"]);
  const alone = { structures: [], no_hang: [], spots: [], neighbours: [] };
  return { ...yard, ...alone, crops: [{ ...first, name: berries() }, { ...second, name: say("page.class.beans") }] };
}

/** The yard of a lesson, with the plan that does nothing first. */
export function yardOf(level: Level, state: State): Part {
  const base = level === "helps" ? lone() : ready(state);
  const plan = level === "helps" ? parts(base["plans"])[0] : PLANS[level]();
  const wind = level === "wind" ? { wind: { usually_from: "south", strength: "light" } } : {};
  return {
    ...base, ...wind,
    title: say(`page.class.ask.${level}`),
    note: say("page.class.note"),
    plans: [
      { name: say("page.class.plan.nothing"), traps: [] }, { name: say(`page.class.plan.${level}`), ...plan },
      // A lure that hangs in some plan widens the land that insects come from. With it, doing nothing is the same in all lessons.
      ...(level === "hands" || level === "net" ? [{ name: say("page.class.plan.trap"), ...PLANS.trap() }] : []),
    ],
  };
}
