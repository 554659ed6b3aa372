// The room of doubts: where each number comes from, and which unknown would turn the answer.

import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { Stopped } from "../client";
import { ChoiceField } from "../fields";
import { say } from "../say";
import { plans, useStore, type Part, type Store } from "../store";
import { owner, withUnit, type Known, type Sourced } from "./numbers";
import { Slider } from "./slider";
import type { Varied } from "./vary";

/** Summers at each value. */
const SUMMERS = [8, 20, 60];
/** Summers of the first look, which is there soon and stays when the rest is stopped. */
const FIRST = 4;
/** Most summers for the usual answer. */
const MOST = 100;
/** Unknowns that get a slider. */
const SHOWN = 6;

interface Study { doc: Part; plan: string; language: string; varied: Varied }
/** The last study, kept while the page is open. */
let last: Study | null = null;

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const yard = state.reading?.yard as Known | null | undefined;
  const faulty = (state.reading?.faults.length ?? 0) > 0;
  return (
    <div class="doubt-room">
      {faulty ? <p class="refused" role="alert"><a href="#yard">{say("page.plan.faults")}</a></p> : null}
      {yard ? (
        <>
          <section aria-label={say("page.doubt.sure")}>
            <h3>{say("page.doubt.sure")}</h3>
            {yard.sure.map((line) => <p key={line}>{line}</p>)}
            <p>{say("page.doubt.error")}</p>
          </section>
          <Turns store={store} />
          <Numbers yard={yard} />
        </>
      ) : null}
    </div>
  );
}

/** Each number with its reason behind a word. */
function Numbers({ yard }: { yard: Known }): JSX.Element {
  const groups = new Map<string, Sourced[]>();
  for (const number of yard.numbers) {
    const whose = owner(yard, number.path);
    groups.set(whose, [...(groups.get(whose) ?? []), number]);
  }
  return (
    <section aria-label={say("page.doubt.numbers")}>
      <h3>{say("page.doubt.numbers")}</h3>
      <p>{say("page.doubt.numbers.how")}</p>
      {[...groups].map(([whose, numbers]) => (
        <div key={whose}>
          <h4>{whose}</h4>
          <ul class="things">
            {numbers.map((number) => (
              <li key={number.path}>
                <details>
                  <summary>
                    {number.name}: {number.range
                      ? say("page.doubt.range", { low: withUnit(number.range[0], number.unit), high: withUnit(number.range[1], number.unit) })
                      : withUnit(number.value, number.unit)} – {say("page.doubt.why")}
                  </summary>
                  <p>{say("page.doubt.grade", { grade: number.grade_says })} {number.range ? say("page.doubt.drawn") : null}</p>
                  <p>{say("page.doubt.source")} <q>{number.source}</q></p>
                </details>
              </li>
            ))}
          </ul>
        </div>
      ))}
    </section>
  );
}

/** The unknowns that move the answer most, each on a slider, with the value where the word turns. */
function Turns({ store }: { store: Store }): JSX.Element {
  const { doc, name: file, language, inputs, moving, reading } = useStore(store);
  const stop = useRef<AbortController | null>(null);
  const [summers, setSummers] = useState(SUMMERS[1] ?? 20);
  const [progress, setProgress] = useState<{ done: number; of: number } | null>(null);
  const [fault, setFault] = useState("");
  useEffect(() => () => stop.current?.abort(), []);
  const plan = String(plans(doc)[moving]?.["name"] ?? "");
  const nothing = reading?.yard?.plans.find((one) => one.nothing)?.name === plan;
  const study = last?.doc === doc && last.plan === plan && last.language === language ? last.varied : null;
  const ask = async (): Promise<void> => {
    const mine = (stop.current = new AbortController());
    setFault("");
    setProgress({ done: 0, of: 1 });
    try {
      for (const n of [FIRST, summers]) {
        const { files } = await store.client.ask("vary", store.text(), `${file}.json`, {
          summers: n, most: MOST, plan, language, inputs, signal: mine.signal,
          heard: (part) => setProgress({ done: part.done, of: part.of }),
        });
        last = { doc, plan, language, varied: JSON.parse(files["vary.json"] ?? "null") as Varied };
        store.set({ spoken: last.varied.sentence });
      }
    } catch (why) {
      if (!(why instanceof Stopped)) setFault(why instanceof Error ? why.message : String(why));
    }
    if (stop.current === mine) setProgress(null);
  };
  return (
    <section aria-label={say("page.doubt.turns")}>
      <h3>{say("page.doubt.turns")}</h3>
      <p>{say("page.doubt.turns.how", { name: plan })}</p>
      <div class="bar low">
        <ChoiceField label={say("page.doubt.summers")} value={String(summers)} options={SUMMERS.map((n) => ({ id: String(n), name: String(n) }))}
          onChange={(n) => setSummers(Number(n))} />
        {progress
          ? <button type="button" onClick={() => { stop.current?.abort(); setProgress(null); }}>{say("page.stop")}</button>
          : <button type="button" class="main" disabled={nothing || !reading?.yard} onClick={() => void ask()}>{say("page.doubt.go")}</button>}
        {progress ? <progress value={progress.done} max={Math.max(progress.of, 1)} aria-label={say("page.doubt.going")} /> : null}
      </div>
      {nothing ? <p>{say("page.plan.alone")}</p> : null}
      {progress ? <p class="rests">{say("page.doubt.going")} {say("page.doubt.step", { done: progress.done, of: progress.of })}</p> : null}
      {fault ? <p class="refused" role="alert">{fault}</p> : null}
      {study ? (
        <>
          <p class="verdict">{study.sentence}</p>
          <p class="rests">{say("page.doubt.rests", { n: study.summers })}</p>
          <div class="sliders">
            {study.sweeps.slice(0, SHOWN).map((sweep, i) => (
              <Slider key={sweep.unknown.name} sweep={sweep} turns={study.flips.filter((flip) => flip.sweep === i)} band={study.tie_band} />
            ))}
          </div>
        </>
      ) : null}
    </section>
  );
}
