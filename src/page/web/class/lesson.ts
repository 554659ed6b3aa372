// What a class has guessed and found in each lesson, kept while the page is open.

import { Stopped } from "../client";
import type { Part, Store } from "../store";
import type { CheckedYard, SoFar } from "../types";
import { LEVELS, type Level } from "./levels";

/** Less, no change, more: the order of every table and heap. */
export type Three = [number, number, number];
export const WORDS = ["less", "same", "more"] as const;

/** Summers of a group. */
export const SUMMERS = 20;
const GROUPS = 6;
export const MOST_GROUPS = 12;

export interface Found {
  /** Hands that went up for each guess. */
  hands: Three;
  locked: boolean;
  /** The group that sits at this screen; its number is its seed. */
  group: number;
  yard: CheckedYard | null;
  soFar: SoFar | null;
  running: boolean;
  fault: string;
  /** What each group has counted. */
  groups: (Three | null)[];
}

export const nothing = (): Found => ({
  hands: [0, 0, 0], locked: false, group: 1, yard: null, soFar: null, running: false, fault: "",
  groups: Array.from({ length: GROUPS }, () => null),
});

export interface Lesson { level: Level; keys: boolean; language: string; found: Record<Level, Found> }

export const lesson: Lesson = {
  level: "trap", keys: true, language: "",
  found: Object.fromEntries(LEVELS.map((level) => [level, nothing()])) as Record<Level, Found>,
};

/** Sentences of another language are not shown; what was guessed and counted stays. */
export function speakIn(language: string): void {
  if (lesson.language !== language) for (const level of LEVELS) lesson.found[level] = { ...lesson.found[level], soFar: null };
  lesson.language = language;
}

export const sum = (three: Three): number => three[0] + three[1] + three[2];

/** What a group counted, once it has told all its summers. */
export const whole = (three: Three | null): Three | null => (three && sum(three) === SUMMERS ? three : null);

/** The counts of all groups that have told theirs, together. */
export function pooled(groups: (Three | null)[]): { counts: Three; groups: Three[] } {
  const told = groups.map(whole).filter((three) => three !== null);
  const counts = told.reduce<Three>((all, one) => [all[0] + one[0], all[1] + one[1], all[2] + one[2]], [0, 0, 0]);
  return { counts, groups: told };
}

/** The twenty summers of a group: its own seed, the same yard. Null when it was stopped. */
export async function summersOf(store: Store, doc: Part, group: number, signal: AbortSignal): Promise<SoFar | null> {
  const options = { summers: SUMMERS, seed: group, language: store.state.language };
  try {
    const { so_far } = await store.client.ask<SoFar>("run", store.text(doc), "class.json", { ...options, signal });
    return signal.aborted ? null : so_far;
  } catch (why) {
    if (why instanceof Stopped || signal.aborted) return null;
    throw why;
  }
}

/** The dots of a plan, counted. */
export function countOf(soFar: SoFar): Three {
  const dots = soFar.plans[1]?.dots ?? [];
  return [-1, 0, 1].map((sign) => dots.filter((dot) => dot === sign).length) as Three;
}
