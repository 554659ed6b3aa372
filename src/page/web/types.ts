// What the engine's module takes and gives (see engine.rs): JSON heads, with raw bytes behind them.

export type Language = "en" | "es";
export type QuestionKind = "run" | "compare" | "place" | "vary" | "watch";

export interface Fault { place: string; line: number; say: string }

export interface Choice { id: string; name: string; plural?: string; spacing_ft?: number; pests?: string[]; title?: string }

/** What a yard may hold, with names for people. */
export interface Choices {
  pests: Choice[];
  crops: Choice[];
  traps: Choice[];
  lures: Choice[];
  methods: Choice[];
  structures: Choice[];
  sides: Choice[];
  strengths: Choice[];
  pressures: Choice[];
  yards: { name: string; title: string; text: string }[];
}

export interface Plant { x: number; y: number; crop: string; bed: number; mine: boolean; name: string; canopy?: number }

/** A checked yard, lengths in feet. */
export interface CheckedYard {
  plants: Plant[];
  plans: { name: string }[];
  days?: number;
}

export interface Reading { faults: Fault[]; doubts: { say: string }[]; yard: CheckedYard | null }

export interface Counts { more: number; same: number; less: number }

export interface PlanSoFar {
  name: string;
  mean: number;
  error: number | null;
  change: { mean: number; error: number | null } | null;
  counts: Counts | null;
  caught: number;
  plants: number[];
  dots: number[];
  says?: string;
  minutes?: number | null;
  dollars?: number | null;
  neighbours?: { name: string; mean: number }[];
}

/** What a run or compare has found up to now. */
export interface SoFar {
  summers: number;
  settled: boolean;
  plans: PlanSoFar[];
  says: string;
  unit?: string;
}

export type Files = Record<string, string>;

export interface Options {
  summers?: number;
  seed?: number;
  most?: number;
  objective?: string;
  tolerance?: number;
  language?: Language;
}
