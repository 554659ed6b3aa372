// Places of the map: those that were tried, and what the map says between them.

import { say } from "../say";
import type { CheckedYard } from "../types";

export type Zone = "lowers" | "either-way" | "no-difference" | "raises" | "closed";

/** All where a trap may hang, in the order in which they are told. */
export const OPEN = ["lowers", "either-way", "no-difference", "raises"] as const;

/** A place that was tried. */
export interface Site {
  name: string | null;
  x_ft: number;
  y_ft: number;
  zone: Zone;
  change: number;
  error: number;
  counts: { more: number; same: number; less: number; of?: number };
  caught: number;
  neighbour_change: number | null;
  summers: number;
}

/** Squares of the map, row by row from the south-west corner. */
export interface ZoneMap {
  x0_ft: number;
  y0_ft: number;
  cell_ft: number;
  columns: number;
  rows: number;
  zone: Zone[];
  change: number[];
  error: number[];
}

/** What a search has found up to now. */
export interface PlaceSoFar { summers: number; sites: Site[]; map: ZoneMap | null }

/** What the finished search says of its sites, by their place in the list. */
export interface Placement { settled: boolean; best: { site: number }[]; worst: number }

/** Listed places lie at least this far apart, as in the program's own list. */
const APART_FT = 10;
const BEST = 3;
/** Summers that counts are told of, where it is not said. */
const TOLD = 20;

/** The key of a class in the program's own texts. */
export const zoneKey = (zone: Zone): string => (zone === "no-difference" ? "same" : zone);

/** What a class is called. A trap that is to catch early is no advice to hang it. */
export function zoneWord(zone: Zone, objective: string): string {
  if (objective === "catch" && zone === "lowers") return say("page.map.catch.yes");
  if (objective === "catch" && zone === "no-difference") return say("page.map.catch.no");
  return say(`figure.place.zone.${zoneKey(zone)}`);
}

export const of = (counts: Site["counts"]): number => counts.of ?? TOLD;

export const away = (one: { x: number; y: number }, other: { x: number; y: number }): number =>
  Math.sqrt((one.x - other.x) ** 2 + (one.y - other.y) ** 2);

export const spotOf = (site: Site): { x: number; y: number } => ({ x: site.x_ft, y: site.y_ft });

/** The nearest of some things with a place, and how far it is. */
function nearest<T>(all: T[], at: (one: T) => { x: number; y: number }, from: { x: number; y: number }): { one: T; ft: number } | null {
  let found: { one: T; ft: number } | null = null;
  for (const one of all) {
    const ft = away(at(one), from);
    if (!found || ft < found.ft) found = { one, ft };
  }
  return found;
}

export const nearestSite = (sites: Site[], from: { x: number; y: number }): { one: Site; ft: number } | null => nearest(sites, spotOf, from);

export const nearestPlant = (yard: CheckedYard, from: { x: number; y: number }): { one: CheckedYard["plants"][number]; ft: number } | null =>
  nearest(yard.plants.filter((plant) => plant.mine), (plant) => plant, from);

/** The square of the map that a point lies in. */
export function cellAt(map: ZoneMap, { x, y }: { x: number; y: number }): { zone: Zone; change: number; error: number } | null {
  const inside = (ft: number, n: number): number => Math.min(Math.max(Math.floor(ft / map.cell_ft), 0), n - 1);
  const i = inside(y - map.y0_ft, map.rows) * map.columns + inside(x - map.x0_ft, map.columns);
  const zone = map.zone[i];
  return zone === undefined ? null : { zone, change: map.change[i] ?? 0, error: map.error[i] ?? 0 };
}

/** Squares of each class, of 100 where a trap may hang; they add up to 100. */
export function ofHundred(map: ZoneMap): number[] {
  const counts = OPEN.map((zone) => map.zone.filter((other) => other === zone).length);
  const all = counts.reduce((sum, n) => sum + n, 0);
  if (all === 0) return counts;
  const whole = counts.map((n) => Math.floor((100 * n) / all));
  const missing = 100 - whole.reduce((sum, n) => sum + n, 0);
  const order = counts.map((n, i) => ({ i, rest: (100 * n) % all })).sort((a, b) => b.rest - a.rest || a.i - b.i);
  for (const { i } of order.slice(0, missing)) whole[i] = (whole[i] ?? 0) + 1;
  return whole;
}

/** Places to tell of: the best, those that the yard names, and the worst at the end; each once. */
export function listed(sites: Site[], placement: Placement | null): Site[] {
  const order = [...sites].sort((a, b) => a.change - b.change);
  const best: Site[] = [];
  if (placement) best.push(...placement.best.flatMap(({ site }) => sites[site] ?? []));
  else for (const site of order) if (best.length < BEST && best.every((other) => away(spotOf(other), spotOf(site)) >= APART_FT)) best.push(site);
  const worst = placement ? sites[placement.worst] : order.at(-1);
  const named = order.filter((site) => site.name !== null && site !== worst);
  return [...new Set([...best, ...named, ...(worst ? [worst] : [])])];
}
