// The teacher's notes: the plan of 45 minutes, wrong ideas, and how the program makes the class pack of this yard.

import type { JSX } from "preact";
import { keep } from "../fields";
import { say } from "../say";
import type { Part, Store } from "../store";
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
      <p>{say("page.class.notes.pack")}</p>
      <pre tabIndex={0}>{`lurefield run ${name}.json\nlurefield report --from output/${name} --product class`}</pre>
      <div class="bar"><button type="button" onClick={() => keep(`${name}.json`, store.text(doc))}>{say("page.class.notes.save")}</button></div>
    </details>
  );
}
