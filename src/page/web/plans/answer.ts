// Asks what plan B changes against plan A: told from the first summers on, until the word is settled. Every change
// of the yard, of a plan or of the choice of plans stops what runs and asks anew; the last picture stays until then.

import { Stopped } from "../client";
import { parts, plans, type Part, type State, type Store } from "../store";
import type { CheckedYard, Language, PlanSoFar, SoFar } from "../types";

export type Stage = "quick" | "more" | "done" | "stopped" | "failed";

/** What is known about two plans, and the yard that it was found in. */
export interface Answer {
  doc: Part;
  a: number;
  b: number;
  language: Language;
  yard: CheckedYard | null;
  soFar: SoFar | null;
  stage: Stage;
  fault: string;
}

/** From so many on an answer is spoken and kept. */
const QUICK_SUMMERS = 20;
/** Changes that follow each other faster than this are taken together. */
const PAUSE_MS = 60;

/** The yard with the two plans alone; with one when both are the same. */
export function pair(doc: Part, a: number, b: number): Part {
  const all = plans(doc);
  const kept = [all[a], ...(a === b ? [] : [all[b]])].filter((plan) => plan !== undefined);
  return kept.length > 0 ? { ...doc, plans: kept } : doc;
}

/** Whether a plan of a yard file does nothing: the engine sets the others against it where none is named. */
export const isNothing = (plan: Part): boolean => parts(plan["traps"]).length === 0 && parts(plan["methods"]).length === 0;

/** What is known of plan A and of plan B. The engine has its own order and may add plans, so they go by their names. */
export function both({ doc, a, b }: Pick<Answer, "doc" | "a" | "b">, found: PlanSoFar[]): [PlanSoFar | undefined, PlanSoFar | undefined] {
  const of = (i: number): PlanSoFar | undefined => found.find(({ name }) => name === plans(doc)[i]?.["name"]) ?? found[0];
  return [of(a), of(b)];
}

/** Answers as long as it is listened to; the function it gives ends that. */
export function answering(store: Store): () => void {
  let key: unknown[] = [];
  let stop = new AbortController();
  let pause: ReturnType<typeof setTimeout> | undefined;

  const ask = async (state: State): Promise<void> => {
    const { doc, pinned: a, moving: b, language, name, inputs } = state;
    const mine = (stop = new AbortController());
    const text = store.text(pair(doc, a, b));
    const yard = state.reading?.yard ?? null;
    const first = plans(doc)[a];
    const against = a !== b && first && !isNothing(first) ? { against: String(first["name"]) } : {};
    // The engine speaks of every plan but the first.
    const ofTwo = (soFar: SoFar): SoFar => {
      const two = both({ doc, a, b }, soFar.plans);
      return { ...soFar, says: two[1]?.says ?? "", settled: two.every((plan) => plan?.settled) };
    };
    const known = (): Answer | null => {
      const old = store.state.answer;
      return old?.doc === doc && old.a === a && old.b === b && old.language === language ? old : null;
    };
    const tell = (change: Partial<Answer>): void => {
      if (mine.signal.aborted) return;
      const base: Answer = known() ?? { doc, a, b, language, yard, soFar: null, stage: "quick", fault: "" };
      // A run that starts anew never shows fewer summers than are known.
      const fewer = (change.soFar?.summers ?? Infinity) < (base.soFar?.summers ?? 0);
      store.set({ answer: { ...base, ...change, soFar: fewer ? base.soFar : change.soFar ?? base.soFar, yard } });
    };
    try {
      let enough = (known()?.soFar?.summers ?? 0) >= QUICK_SUMMERS;
      if (enough) tell({ stage: "more" });
      const remember = (soFar: SoFar): void => {
        store.set({ spoken: soFar.says });
        store.remember({ doc, a, b, language, soFar });
      };
      const told = (found: SoFar): void => {
        const soFar = ofTwo(found);
        const quick = !enough && soFar.summers >= QUICK_SUMMERS;
        enough ||= quick;
        tell({ soFar, stage: enough ? "more" : "quick" });
        if (quick && !mine.signal.aborted) remember(soFar);
      };
      const { so_far } = await store.client.ask<SoFar>("run", text, `${name}.json`, { ...against, language, inputs, told, signal: mine.signal });
      if (mine.signal.aborted) return;
      const soFar = ofTwo(so_far);
      tell({ soFar, stage: "done" });
      remember(soFar);
    } catch (why) {
      if (!(why instanceof Stopped)) tell({ stage: "failed", fault: why instanceof Error ? why.message : String(why) });
    }
  };

  const look = (): void => {
    const state = store.state;
    const next = [state.doc, state.pinned, state.moving, state.language];
    if (next.every((part, i) => part === key[i])) return;
    // What runs is of another yard now, whether or not the new one can be asked about.
    stop.abort();
    clearTimeout(pause);
    key = [];
    if (!state.fresh || !state.reading?.yard || state.reading.faults.length > 0) return;
    key = next;
    const known = store.state.answer;
    const settled = known?.stage === "done" && known.doc === state.doc && known.a === state.pinned && known.b === state.moving
      && known.language === state.language;
    if (!settled) pause = setTimeout(() => void ask(store.state), PAUSE_MS);
  };
  store.halt = () => {
    stop.abort();
    if (store.state.answer) store.set({ answer: { ...store.state.answer, stage: "stopped" } });
  };
  store.resume = () => { key = []; look(); };
  const deaf = store.listen(look);
  look();
  return () => {
    deaf();
    stop.abort();
    clearTimeout(pause);
  };
}
