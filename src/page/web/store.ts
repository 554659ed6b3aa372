// The one state of the page: the yard file itself, as JSON, with what was done to it and what the engine says about it.

import { useEffect, useState } from "preact/hooks";
import { Client, Trouble } from "./client";
import { speak } from "./say";
import type { Answer } from "./plans/answer";
import type { Choices, Files, Given, Language, Reading, SoFar } from "./types";
import type { Unit } from "./units";

/** Any part of a yard file. Members that the page does not know are kept as they are. */
export type Part = Record<string, unknown>;
export type Path = (string | number)[];

/** An answer worth coming back to: the yard it was found in and the two plans. */
export interface Recent { doc: Part; a: number; b: number; language: Language; soFar: SoFar }

export interface State {
  doc: Part;
  name: string;
  language: Language;
  unit: Unit;
  choices: Choices | null;
  /** Weather files that were opened beside a yard, by name. */
  inputs: Files;
  reading: Reading | null;
  /** The reading is of the yard as it stands. */
  fresh: boolean;
  /** Faults of a file that could not be opened. */
  refused: string[] | null;
  /** The plan that is kept, and the one that is moved. */
  pinned: number;
  moving: number;
  selected: string | null;
  /** What is known about the two plans; of the yard that it names. */
  answer: Answer | null;
  recent: Recent[];
  /** Said aloud by a screen reader. */
  spoken: string;
}

const MOST_UNDO = 200;
const MOST_RECENT = 6;

export class Store {
  state: State;
  private past: Part[] = [];
  private future: Part[] = [];
  private merge = "";
  private saved: Part;
  private readonly heard = new Set<() => void>();
  private reading = 0;
  /** Stops the question that runs, and asks it again; set by who asks. */
  halt: () => void = () => {};
  resume: () => void = () => {};

  constructor(readonly client: Client, doc: Part, name: string, language: Language) {
    this.saved = doc;
    this.state = {
      doc, name, language, unit: "ft", choices: null, inputs: {}, reading: null, fresh: false, refused: null,
      pinned: 0, moving: plans(doc).length > 1 ? 1 : 0, selected: null, answer: null, recent: [], spoken: "",
    };
  }

  listen(hear: () => void): () => void {
    this.heard.add(hear);
    return () => this.heard.delete(hear);
  }

  set(change: Partial<State>): void {
    this.state = { ...this.state, ...change };
    for (const hear of [...this.heard]) hear();
  }

  get canUndo(): boolean { return this.past.length > 0; }
  get canRedo(): boolean { return this.future.length > 0; }
  get unsaved(): boolean { return this.state.doc !== this.saved; }

  /** Changes a copy of the yard. Changes that follow each other with the same `merge` are one step to undo. */
  change(edit: (doc: Part) => void, merge = ""): void {
    const doc = structuredClone(this.state.doc);
    edit(doc);
    if (merge === "" || merge !== this.merge) {
      this.past.push(this.state.doc);
      if (this.past.length > MOST_UNDO) this.past.shift();
    }
    this.merge = merge;
    this.future = [];
    this.take(doc);
  }

  /** Ends a run of merged changes, as when a pointer is let go. */
  settle(): void { this.merge = ""; }

  undo(): void { this.step(this.past, this.future); }
  redo(): void { this.step(this.future, this.past); }

  private step(from: Part[], to: Part[]): void {
    const doc = from.pop();
    if (!doc) return;
    to.push(this.state.doc);
    this.merge = "";
    this.take(doc);
  }

  private take(doc: Part): void {
    const last = Math.max(plans(doc).length - 1, 0);
    this.set({
      doc, fresh: false,
      pinned: Math.min(this.state.pinned, last),
      moving: Math.min(this.state.moving, last),
    });
    void this.read();
  }

  /** The yard that the page starts with. */
  begin(doc: Part, name: string): void {
    this.saved = doc;
    this.set({ name, refused: null, selected: null, pinned: 0, moving: plans(doc).length > 1 ? 1 : 0, doc });
    this.take(doc);
  }

  /** Another yard in place of this one; the old one can be brought back with undo. */
  replace(doc: Part, name: string): void {
    this.past.push(this.state.doc);
    this.future = [];
    this.merge = "";
    this.begin(doc, name);
  }

  /** The text of the yard file. */
  text(doc: Part = this.state.doc): string { return `${JSON.stringify(doc, null, 2)}\n`; }

  /** The yard differs from its file, as when a page is loaded again. */
  markUnsaved(): void { this.saved = {}; }

  markSaved(): void {
    this.saved = this.state.doc;
    this.set({});
  }

  /** Opens a file: what the engine finds wrong is shown; a file that is no yard leaves the old one in place. */
  async open(text: string, name: string): Promise<void> {
    const short = name.replace(/\.json$/i, "");
    const { faults } = await this.client.read(text, name, this.state.language, this.state.inputs);
    let doc: unknown = null;
    try { doc = JSON.parse(text); } catch { /* the engine has said what is wrong */ }
    if (isPart(doc) && isPart(doc["yard"])) this.replace(doc, short);
    else this.set({ refused: faults.map((fault) => fault.whole) });
  }

  /** Takes files: a yard, and weather files that it names. */
  async openFiles(files: File[]): Promise<void> {
    const isYard = (file: File): boolean => /\.json$/i.test(file.name);
    const weather = await Promise.all(files.filter((file) => !isYard(file)).map(async (file) => [file.name, await file.text()] as const));
    this.set({ inputs: { ...this.state.inputs, ...Object.fromEntries(weather) } });
    const yard = files.find(isYard);
    if (yard) await this.open(await yard.text(), yard.name);
    else await this.read();
  }

  /** Has the engine read the yard as it stands. */
  async read(): Promise<void> {
    const mine = ++this.reading;
    const { name, language, inputs } = this.state;
    try {
      const reading = await this.client.read(this.text(), `${name}.json`, language, inputs);
      if (mine === this.reading) this.set({ reading, fresh: true });
    } catch (why) {
      if (mine === this.reading && why instanceof Trouble) this.set({ spoken: why.message });
    }
  }

  async speak(language: Language): Promise<void> {
    const [{ texts }, choices] = await Promise.all([this.client.texts(language), this.client.choices(language)]);
    speak(texts);
    document.documentElement.lang = language;
    // In the order in which people look for a name.
    choices.crops.sort((one, other) => one.name.localeCompare(other.name, language));
    this.set({ language, choices });
    // Before there is a yard there is nothing to read.
    if (isPart(this.state.doc["yard"])) await this.read();
  }

  remember(entry: Recent): void {
    const same = (old: Recent): boolean => old.doc === entry.doc && old.a === entry.a && old.b === entry.b && old.language === entry.language;
    this.set({ recent: [entry, ...this.state.recent.filter((old) => !same(old))].slice(0, MOST_RECENT) });
  }
}

const OPEN = "lurefield yard";

/** A yard that was open, and whether it differs from its file. */
interface Open extends Given { unsaved: boolean }

/** Lays the open yard aside for the case that the page is loaded again; a browser that keeps nothing is no fault. */
export function keepOpen({ state: { doc, name, inputs, language }, unsaved }: Store): void {
  const open: Open = { name, text: JSON.stringify(doc), inputs, language, unsaved };
  try { sessionStorage.setItem(OPEN, JSON.stringify(open)); } catch { /* the file is still there to save */ }
}

/** The yard that was open before the page was loaded again. */
export function wasOpen(): Open | null {
  try {
    const [how] = performance.getEntriesByType("navigation") as PerformanceNavigationTiming[];
    return how?.type === "reload" ? (JSON.parse(sessionStorage.getItem(OPEN) ?? "null") as Open | null) : null;
  } catch {
    return null;
  }
}

export const isPart = (value: unknown): value is Part => typeof value === "object" && value !== null && !Array.isArray(value);

/** The parts of a list in a yard file; what is no part is passed over. */
export function parts(value: unknown): Part[] { return Array.isArray(value) ? value.filter(isPart) : []; }

export const plans = (doc: Part): Part[] => parts(doc["plans"]);

/** The part at a path. */
export function at(doc: unknown, path: Path): unknown {
  return path.reduce<unknown>((inside, step) => (typeof inside === "object" && inside !== null ? (inside as Part)[step] : undefined), doc);
}

/** Writes a value at a path of a copy of the yard; undefined takes the member out. */
export function put(doc: Part, path: Path, value: unknown): void {
  const inside = at(doc, path.slice(0, -1)) as Part | undefined;
  const last = path[path.length - 1];
  if (typeof inside !== "object" || inside === null || last === undefined) return;
  if (value !== undefined) inside[last] = value;
  else if (Array.isArray(inside)) inside.splice(Number(last), 1);
  else delete inside[last];
}

/** Adds to a list of the yard, which is made when there is none. */
export function add(doc: Part, path: Path, value: Part): Path {
  const list = at(doc, path);
  if (!Array.isArray(list)) {
    put(doc, path, [value]);
    return [...path, 0];
  }
  list.push(value);
  return [...path, list.length - 1];
}

/** Shows a component anew when the state changes. */
export function useStore(store: Store): State {
  const [state, show] = useState(store.state);
  useEffect(() => {
    show(store.state);
    return store.listen(() => show(store.state));
  }, [store]);
  return state;
}
