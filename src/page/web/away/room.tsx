// The room of what is taken away: words for the help desk, pages to print, a picture, data, the yard, and the line that repeats it.

import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { Stopped } from "../client";
import type { Known } from "../doubt/numbers";
import { ChoiceField, keep } from "../fields";
import { Damage, scaleEnd } from "../plans/damage";
import { counted, say } from "../say";
import { Sheets, tell, type Told } from "../sheets";
import { plans, useStore, type Part, type State, type Store } from "../store";
import type { Files, SoFar } from "../types";
import { Picture, TrapMark } from "../yard/picture";
import { usualOf } from "../yard/room";
import { middle, things, traps } from "../yard/things";
import { withYard } from "./copy";
import { drawn, painted } from "./picture";

/** What was found about all plans of a yard. */
interface Taken { doc: Part; language: string; soFar: SoFar; files: Files; yard: Known; stories: Record<string, Told | string> }
/** Summers of a first look, which stays where the rest is stopped. */
const FIRST = 20;
/** The pages that are made of it. */
const PRODUCTS = ["help-desk", "handout", "class", "poll", "evidence", "tables"];
/** Kept while the page is open. */
let last: Taken | null = null;

export function Room({ store }: { store: Store }): JSX.Element {
  const state = useStore(store);
  const { doc, name, language, inputs, reading, fresh } = state;
  const [, draw] = useState(0);
  const [running, setRunning] = useState<SoFar | true | null>(null);
  const [fault, setFault] = useState("");
  const stop = useRef<AbortController | null>(null);
  useEffect(() => () => stop.current?.abort(), []);
  const yard = reading?.yard as Known | null | undefined;
  const ready = yard && fresh && (reading?.faults.length ?? 0) === 0;
  const taken = last?.doc === doc && last.language === language ? last : null;
  const work = async (): Promise<void> => {
    if (!yard) return;
    const mine = (stop.current = new AbortController());
    setFault("");
    setRunning(true);
    try {
      for (const summers of [FIRST, undefined]) {
        const { so_far, files } = await store.client.ask<SoFar>(yard.plans.length > 1 ? "watch" : "run", store.text(), `${name}.json`, {
          language, inputs, signal: mine.signal, told: setRunning, ...(summers ? { summers } : {}),
        });
        last = { doc, language, soFar: so_far, files, yard, stories: {} };
        store.set({ spoken: so_far.says });
      }
    } catch (why) {
      if (!(why instanceof Stopped)) setFault(why instanceof Error ? why.message : String(why));
    }
    if (stop.current === mine) setRunning(null);
  };
  return (
    <div class="away-room">
      <section aria-label={say("page.away.result")}>
        <h3>{say("page.away.result")}</h3>
        {ready ? null : <p class="refused" role="alert"><a href="#yard">{say("page.plan.faults")}</a></p>}
        <div class="bar">
          {running
            ? <button type="button" onClick={() => { stop.current?.abort(); setRunning(null); }}>{say("page.stop")}</button>
            : <button type="button" class="main" disabled={!ready || taken?.soFar.settled} onClick={() => void work()}>{say("page.away.go")}</button>}
          <span class="rests">
            {running ? (running === true ? say("page.plan.wait") : counted("page.plan.rests", running.summers))
              : taken ? `${counted("page.plan.rests", taken.soFar.summers)} ${say(taken.soFar.settled ? "page.plan.stage.done" : "page.plan.stage.open")}` : say("page.away.first")}
          </span>
        </div>
        {fault ? <p class="refused" role="alert">{fault}</p> : null}
      </section>
      {taken ? <Products store={store} state={state} taken={taken} shown={() => draw((n) => n + 1)} /> : null}
      <section aria-label={say("page.away.yard")}>
        <h3>{say("page.away.yard")}</h3>
        <p>{say("page.away.yard.how")}</p>
        <div class="bar">
          <button type="button" onClick={() => { keep(`${name}.json`, store.text()); store.markSaved(); }}>{say("page.yard.save")}</button>
          <button type="button" onClick={() => keep(`${name}.html`, withYard({ name, text: store.text(), inputs, language }), "text/html")}>{say("page.away.page")}</button>
        </div>
      </section>
    </div>
  );
}

/** All that needs results: words, pages, picture and data, about one plan. */
function Products({ store, state, taken, shown }: { store: Store; state: State; taken: Taken; shown: () => void }): JSX.Element {
  const { name, moving } = state;
  const { files, yard } = taken;
  const acting = yard.plans.map((plan, i) => ({ ...plan, i })).filter((plan) => !plan.nothing);
  const moved = String(plans(taken.doc)[moving]?.["name"] ?? "");
  const [chosen, choose] = useState(acting.find((plan) => plan.name === moved)?.name ?? acting[0]?.name ?? "");
  const [note, setNote] = useState("");
  const words = useRef<HTMLTextAreaElement>(null);
  const room = useRef<HTMLDivElement>(null);
  const found = taken.stories[chosen];
  const story = typeof found === "object" ? found : null;
  useEffect(() => {
    if (found !== undefined || chosen === "") return;
    tell(store, { text: store.text(taken.doc), name: `${name}.json`, files, plan: chosen, products: PRODUCTS })
      .catch((why: unknown) => (why instanceof Error ? why.message : String(why)))
      .then((told) => { taken.stories[chosen] = told; shown(); }, () => {});
  }, [chosen, taken]);
  // Why there are no words stands in their place; why there is no page, below the pages.
  const missing = Object.entries(story?.missing ?? {}).filter(([product]) => product !== "help-desk");
  const said = story?.files["help-desk.txt"]?.trim();
  const text = said ?? (typeof found === "string" ? found : story?.missing["help-desk"]);
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(said ?? "");
      setNote(say("page.away.copied"));
    } catch {
      words.current?.select();
      setNote(say("page.away.copy.self"));
    }
  };
  const picture = (): SVGSVGElement | null => room.current?.querySelector<SVGSVGElement>(".picture > svg") ?? null;
  const at = yard.plans.findIndex((plan) => plan.name === chosen);
  const title = String(taken.doc["title"] ?? name);
  const [nothing, plan] = [taken.soFar.plans[0], taken.soFar.plans[at]];
  const key = !nothing || !plan ? [] : [
    say("page.away.key", { name: plan.name, other: nothing.name }), say("page.plan.largest", { n: scaleEnd(nothing, plan) }), say("caution.forecast"),
  ];
  return (
    <>
      <section aria-label={say("page.away.words")}>
        <h3>{say("page.away.words")}</h3>
        <div class="fields">
          <ChoiceField label={say("page.away.plan")} value={chosen} options={acting.map((plan) => ({ id: plan.name, name: plan.name }))} onChange={choose} />
        </div>
        <textarea ref={words} readOnly value={text ?? say("page.away.wait")} aria-label={say("page.away.words")} />
        <div class="bar">
          <button type="button" disabled={!said} onClick={() => void copy()}>{say("page.away.copy")}</button>
          <span role="status">{note}</span>
        </div>
      </section>
      <section aria-label={say("page.away.print")}>
        <h3>{say("page.away.print")}</h3>
        {story ? <Sheets files={story.files} name={name} /> : null}
        {missing.map(([product, why]) => <p class="hint" key={product}>{say(`product.${product}`)}: {why}</p>)}
      </section>
      <section aria-label={say("page.away.files")}>
        <h3>{say("page.away.files")}</h3>
        <div ref={room}><Map state={state} taken={taken} at={at} /></div>
        {key.map((line) => <p key={line}>{line}</p>)}
        <div class="bar">
          <button type="button" onClick={() => { const svg = picture(); if (svg) keep(`${name}.svg`, drawn(svg, title, key), "image/svg+xml"); }}>{say("page.away.svg")}</button>
          <button type="button" onClick={() => { const svg = picture(); if (svg) void painted(svg, title, key).then((png) => keep(`${name}.png`, png)); }}>{say("page.away.png")}</button>
          <button type="button" onClick={() => keep(`${name}-summary.csv`, files["summary.csv"] ?? "", "text/csv")}>{say("page.away.csv")}</button>
          <button type="button" onClick={() => keep(`${name}-summary.json`, files["summary.json"] ?? "")}>{say("page.away.data")}</button>
        </div>
        <h4>{say("page.away.repeat")}</h4>
        {story ? <pre tabIndex={0}>{story.repeat}</pre> : null}
      </section>
    </>
  );
}

/** The yard with the damage of a plan beside that of doing nothing, as a picture. */
function Map({ state, taken, at }: { state: State; taken: Taken; at: number }): JSX.Element | null {
  const { doc, soFar, yard } = taken;
  const [nothing, plan] = [soFar.plans[0], soFar.plans[at]];
  const own = plans(doc).findIndex((one) => one["name"] === plan?.name);
  if (!nothing || !plan) return null;
  return (
    <Picture doc={doc} things={things(doc, usualOf(state)).filter((thing) => thing.kind !== "spot")} mostHeight={360}
      layer={(scale) => (
        <>
          <Damage yard={yard} a={nothing} b={plan} scale={scale} />
          {traps(doc, own).map((trap) => trap.shape && <TrapMark key={trap.id} x={scale.x(middle(trap.shape)[0])} y={scale.y(middle(trap.shape)[1])} />)}
        </>
      )} />
  );
}
