// The teacher's notes: the plan of 45 minutes, wrong ideas, and the class pack of this yard.

import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { Stopped } from "../client";
import { keep } from "../fields";
import { counted, say } from "../say";
import { Sheets, tell, type Told } from "../sheets";
import { plans, type Part, type Store } from "../store";
import type { SoFar } from "../types";
import type { Level } from "./levels";

/** Parts of the lesson with their minutes. */
const TIMES = [["settle", 5], ["predict", 5], ["run", 10], ["pool", 10], ["explain", 10], ["limits", 5]] as const;
const IDEAS = ["bag", "near", "one", "mine"] as const;

export function Notes({ store, doc, level }: { store: Store; doc: Part; level: Level }): JSX.Element {
  const name = `class-${level}`;
  return (
    <details class="notes">
      <summary>{say("page.class.notes.title")}</summary>
      <p>{say("teacher.line")} {say("teacher.standards")}</p>
      <p>{say(level === "helps" ? "page.class.notes.helps" : "page.class.notes.yard")}</p>
      <p>{say("page.class.notes.seed")}</p>
      <table>
        <caption>{say("teacher.time")}</caption>
        <thead>
          <tr>{["what", "minutes", "do"].map((key) => <th key={key} scope="col">{say(`teacher.time.${key}`)}</th>)}</tr>
        </thead>
        <tbody>
          {TIMES.map(([id, minutes]) => (
            <tr key={id}><th scope="row">{say(`page.class.time.${id}`)}</th><td class="n">{minutes}</td><td>{say(`page.class.time.${id}.do`)}</td></tr>
          ))}
        </tbody>
      </table>
      <table>
        <caption>{say("teacher.wrong")}</caption>
        <thead><tr><th scope="col">{say("teacher.wrong.idea")}</th><th scope="col">{say("teacher.wrong.ask")}</th></tr></thead>
        <tbody>
          {IDEAS.map((id) => <tr key={id}><th scope="row">{say(`teacher.wrong.${id}`)}</th><td>{say(`teacher.wrong.${id}.ask`)}</td></tr>)}
        </tbody>
      </table>
      <Pack key={`${level} ${store.state.language}`} store={store} doc={doc} name={name} />
      <div class="bar"><button type="button" onClick={() => keep(`${name}.json`, store.text(doc))}>{say("page.class.notes.save")}</button></div>
    </details>
  );
}

/** The printed sheets of a lesson, from summers until the word is settled. */
function Pack({ store, doc, name }: { store: Store; doc: Part; name: string }): JSX.Element {
  const [told, set] = useState<Told | string | number | null>(null);
  const stop = useRef<AbortController | null>(null);
  useEffect(() => () => stop.current?.abort(), []);
  const make = async (): Promise<void> => {
    const text = store.text(doc);
    const { signal } = (stop.current = new AbortController());
    set(0);
    try {
      const { files } = await store.client.ask<SoFar>("watch", text, `${name}.json`, { language: store.state.language, signal, told: (soFar) => set(soFar.summers) });
      set(await tell(store, { text, name: `${name}.json`, files, plan: String(plans(doc)[1]?.["name"]), products: ["class", "poll"] }));
    } catch (why) {
      set(why instanceof Stopped ? null : why instanceof Error ? why.message : String(why));
    }
  };
  const made = typeof told === "object" ? told : null;
  return (
    <section aria-label={say("page.class.notes.pack")}>
      <h4>{say("page.class.notes.pack")}</h4>
      {typeof told === "number" ? <p role="status">{told > 0 ? counted("page.plan.rests", told) : say("page.plan.wait")}</p>
        : <div class="bar"><button type="button" disabled={made !== null} onClick={() => void make()}>{say("page.class.notes.make")}</button></div>}
      {typeof told === "string" ? <p class="refused" role="alert">{told}</p> : null}
      {made ? Object.values(made.missing).map((why) => <p key={why}>{why}</p>) : null}
      {made ? <Sheets files={made.files} name={name} /> : null}
    </section>
  );
}
