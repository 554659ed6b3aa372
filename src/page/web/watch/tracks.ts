// One summer as the program writes it (`one-summer.json`): the same insects without and with the plan, and what they did by
// any moment.

import type { CheckedYard } from "../types";
import { FEET_PER_METER } from "../units";

export type What = "smelled" | "landed" | "left-plant" | "gave-up" | "caught" | "left" | "taken" | "gone";

/** Seconds, feet east, feet north. */
export type Point = [number, number, number];

export interface Track { pieces: Point[][]; events: { t_s: number; what: What }[] }

export interface OneSummer {
  /** First day, from 0. */
  day: number;
  days: number;
  day_s: number;
  without: string;
  with: string;
  came: number;
  /** Each insect under both plans. */
  insects: { id: number; sides: [Track, Track] }[];
}


interface Written { day: number; days: number; day_s: number; without: string; with: string; came: number; insects: { id: number; without: Track; with: Track | null }[] }

/** Reads the file; lengths become feet. */
export function read(text: string): OneSummer {
  const { insects, ...rest } = JSON.parse(text) as Written;
  const feet = (track: Track): Track => ({
    events: track.events,
    pieces: track.pieces.map((piece) => piece.map(([t, x, y]): Point => [t, x * FEET_PER_METER, y * FEET_PER_METER])),
  });
  return {
    ...rest,
    insects: insects.map(({ id, without, with: other }) => {
      const one = feet(without);
      return { id, sides: [one, other ? feet(other) : one] };
    }),
  };
}

/** The last point of a sorted list that is not after a time; -1 before the first. */
function upTo(points: { 0: number }[], t: number): number {
  let [low, high] = [-1, points.length - 1];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if ((points[middle]?.[0] ?? Infinity) <= t) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Where an insect is; null while it is away. What is caught or taken stays where it was. */
export function whereAt(track: Track, t: number): { x: number; y: number } | null {
  const gone = track.events.find(({ what }) => what === "caught" || what === "taken");
  for (const piece of track.pieces) {
    const [first, last] = [piece[0], piece.at(-1)];
    if (!first || !last || t < first[0]) continue;
    if (t > last[0]) {
      if (gone && t >= gone.t_s && piece === track.pieces.at(-1)) return { x: last[1], y: last[2] };
      continue;
    }
    const i = upTo(piece, t);
    const [a, b] = [piece[i] ?? first, piece[i + 1]];
    if (!b) return { x: a[1], y: a[2] };
    const share = b[0] > a[0] ? (t - a[0]) / (b[0] - a[0]) : 0;
    return { x: a[1] + share * (b[1] - a[1]), y: a[2] + share * (b[2] - a[2]) };
  }
  return null;
}

export type Doing = "flies" | "eats" | "kept";

/** What an insect is at. */
export function doing(track: Track, t: number): Doing {
  let now: Doing = "flies";
  for (const { t_s, what } of track.events) {
    if (t_s > t) break;
    if (what === "landed") now = "eats";
    else if (what === "caught" || what === "taken") return "kept";
    else now = "flies";
  }
  return now;
}

/** The way up to a moment, one list a stretch. */
export const pathTo = (track: Track, t: number): Point[][] =>
  track.pieces.map((piece) => {
    const i = upTo(piece, t);
    const at = whereAt(track, t);
    const seen = piece.slice(0, i + 1);
    return i >= 0 && i < piece.length - 1 && at ? [...seen, [t, at.x, at.y] as Point] : seen;
  }).filter((piece) => piece.length > 1);

/** How often something happened up to a moment, to all insects. */
export const countTo = (one: OneSummer, side: 0 | 1, what: What, t: number): number =>
  one.insects.reduce((sum, insect) => sum + insect.sides[side].events.filter((event) => event.what === what && event.t_s <= t).length, 0);

/** Each landing with its time and the plant nearest to it. */
export function landings(one: OneSummer, side: 0 | 1, yard: CheckedYard): { t: number; plant: number }[] {
  const near = (at: { x: number; y: number }): number => {
    let [best, least] = [-1, Infinity];
    yard.plants.forEach((plant, i) => {
      const d = (plant.x - at.x) ** 2 + (plant.y - at.y) ** 2;
      if (d < least) [best, least] = [i, d];
    });
    return best;
  };
  return one.insects.flatMap((insect) => insect.sides[side].events.flatMap(({ t_s, what }) => {
    const at = what === "landed" ? whereAt(insect.sides[side], t_s) : null;
    return at ? [{ t: t_s, plant: near(at) }] : [];
  })).sort((a, b) => a.t - b.t);
}

/** From time on the screen to time in the yard: flights at one pace, what lies between them cut short. */
export interface Pace { shown: number[]; real: number[] }

/** Seconds in the yard for one on the screen, in flight, and the longest wait on the screen. */
const FLIGHT = 6;
const WAIT_S = 0.8;
/** All insects together are shown in so many seconds at most. */
const LONGEST_S = 90;

export function paceOf(one: OneSummer, chosen: number | null): Pace {
  const insects = chosen === null ? one.insects : one.insects.slice(chosen, chosen + 1);
  const flights: [number, number][] = [];
  for (const { sides } of insects) {
    for (const { pieces } of sides) {
      for (const piece of pieces) {
        piece.forEach((b, i) => {
          const a = piece[i - 1];
          if (a && b[0] > a[0] && (a[1] !== b[1] || a[2] !== b[2])) flights.push([a[0], b[0]]);
        });
      }
    }
  }
  flights.sort((a, b) => a[0] - b[0]);
  const [shown, real] = [[0], [0]];
  const go = (to: number, most: number): void => {
    const from = real.at(-1) ?? 0;
    if (to <= from) return;
    shown.push((shown.at(-1) ?? 0) + Math.min((to - from) / FLIGHT, most));
    real.push(to);
  };
  const from = chosen === null ? 0 : Math.max((flights[0]?.[0] ?? 0) - 1, 0);
  real[0] = from;
  for (const [begins, ends] of flights) {
    go(begins, WAIT_S);
    go(ends, Infinity);
  }
  const last = Math.max(...insects.flatMap(({ sides }) => sides.flatMap(({ events }) => events.map(({ t_s }) => t_s))), real.at(-1) ?? 0);
  go(last, WAIT_S);
  const squeeze = chosen === null ? Math.min(LONGEST_S / Math.max(shown.at(-1) ?? 1, 1), 1) : 1;
  return { shown: shown.map((s) => s * squeeze), real };
}

function between(from: number[], to: number[], value: number): number {
  const i = upTo(from.map((v) => [v] as [number]), value);
  const [a, b, c, d] = [from[i], from[i + 1], to[i], to[i + 1]];
  if (a === undefined || c === undefined) return to[0] ?? 0;
  return b === undefined || d === undefined || b <= a ? c : c + ((value - a) / (b - a)) * (d - c);
}

export const realAt = (pace: Pace, shown: number): number => between(pace.shown, pace.real, shown);
export const shownAt = (pace: Pace, real: number): number => between(pace.real, pace.shown, real);

/** Moments at which something happens, in order. */
export function moments(one: OneSummer, chosen: number | null): number[] {
  const insects = chosen === null ? one.insects : one.insects.slice(chosen, chosen + 1);
  const all = insects.flatMap(({ sides }) => sides.flatMap(({ events }) => events.map(({ t_s }) => t_s)));
  return [...new Set(all)].sort((a, b) => a - b);
}

/** The insect to begin with: one that came for the scent and was caught or ate; else one that is not the same in both. */
export function telling(one: OneSummer): number | null {
  const has = (track: Track, what: What): boolean => track.events.some((event) => event.what === what);
  const tests = [
    (a: Track, b: Track) => has(a, "landed") && has(b, "smelled") && has(b, "caught"),
    (_: Track, b: Track) => has(b, "smelled") && (has(b, "caught") || has(b, "landed")),
    (a: Track, b: Track) => a !== b && has(a, "landed"),
    (a: Track) => has(a, "landed"),
  ];
  for (const test of tests) {
    const i = one.insects.findIndex(({ sides }) => test(...sides));
    if (i >= 0) return i;
  }
  return one.insects.length > 0 ? 0 : null;
}
