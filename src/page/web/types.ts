// What the engine's module takes and gives (see engine.rs): JSON heads, with raw bytes behind them.

export type Language = "en" | "es";
export type QuestionKind = "run" | "compare" | "place" | "vary" | "watch";

/** What is wrong, where, and how to mend it; `whole` names the file and the line as well. */
export interface Fault { place: string; line: number; say: string; whole: string }

export interface Choice { id: string; name: string; plural?: string }

export interface CropChoice extends Choice {
  /** Usual distance between plants, and radius of one, in feet. */
  spacing: number;
  radius: number;
  /** The pests that live on it. */
  pests: string[];
}

/** What a yard may hold, with names for people. */
export interface Choices {
  pests: (Choice & { mover: string; guild: string })[];
  crops: CropChoice[];
  traps: Choice[];
  lures: (Choice & { pest: string | null })[];
  methods: Choice[];
  yards: { name: string; title: string; text: string }[];
}

/** Low end, middle, high end. */
export type Range = [number, number, number];

/** A checked yard, lengths in feet. The plan that does nothing is always the first. */
export interface CheckedYard {
  plants: { x: number; y: number; radius: number; crop: number; bed: string; mine: boolean }[];
  plots: { name: string }[];
  plans: { name: string; nothing: boolean; dollars: Range; minutes: Range; cautions: string[] }[];
  pest: { plural: string; noun: string; verb: string; guild: string };
  /** What is called a summer. */
  period: string;
}

export interface Reading { faults: Fault[]; doubts: { say: string }[]; yard: CheckedYard | null }

export interface PlanSoFar {
  name: string;
  mean: number;
  error: number | null;
  /** Against the first plan. */
  change: { mean: number; error: number | null };
  counts: { more: number; same: number; less: number; of: number };
  dots: number[];
  caught: number;
  /** Damage of each plant, and of each neighbor's plot, in 100; null where nothing grows. */
  plants: number[];
  plots: (number | null)[];
  settled: boolean;
  says: string | null;
}

/** What a run or compare has found up to now; the first plan is what the others are set against. */
export interface SoFar { summers: number; settled: boolean; says: string; plans: PlanSoFar[] }

export type Files = Record<string, string>;

export interface Options {
  summers?: number;
  seed?: number;
  most?: number;
  objective?: string;
  tolerance?: number;
  sites?: number;
  neighbors_traps?: boolean;
  /** The plan whose unknowns are varied. */
  plan?: string;
  /** The plan that a run or compare sets the others against, in place of the one that does nothing. */
  against?: string;
  language?: Language;
}

/** A yard that stands in the file of a page, with the weather files that it names: `lurefield page` writes the same. */
export interface Given { name: string; text: string; inputs: Files; language: string }
