// The lesson on paper, for a room without computers: the guess and the twenty cards of this yard, to print.

import type { JSX } from "preact";
import { say } from "../say";
import type { SoFar } from "../types";
import type { Level } from "./levels";

/** Order of the cards, so that neighboring numbers tell no story: card i holds dot 7 i of the twenty. */
const STEP = 7;
const DRAWS = 10;
const HALF = 10;

export function Paper({ soFar, level }: { soFar: SoFar | null; level: Level }): JSX.Element {
  const dots = soFar?.plans[1]?.dots ?? [];
  const word = (dot: number | undefined): string => say(dot === 1 ? "student.more" : dot === -1 ? "student.less" : "student.same");
  const card = (i: number): string => word(dots[(STEP * i) % dots.length]);
  const blank = Array.from({ length: DRAWS });
  return (
    <details class="paper">
      <summary>{say("page.class.paper.title")}</summary>
      <div class="bar"><button type="button" onClick={() => window.print()}>{say("page.class.paper.print")}</button></div>
      <h4>{say(`page.class.ask.${level}`)}</h4>
      <p>{say(`page.class.story.${level}`)} {say("student.guess")}</p>
      <ul class="checks">{["more", "same", "less"].map((key) => <li key={key}>☐ {say(`student.${key}`)}</li>)}</ul>
      <p>{say("student.because")} <span class="write" /></p>
      <h4 class="cards">{say("student.step2")}</h4>
      {dots.length === 0 ? <p>{say("page.class.paper.first")}</p> : (
        <>
          <p>{say("student.step2.do")}</p>
          <table>
            <caption>{say("student.step2.table")}</caption>
            <thead>
              <tr>{[0, 1].map((i) => [<th key={`n${i}`} scope="col">{say("student.card")}</th>, <th key={`c${i}`} scope="col">{say("page.class.paper.summer")}</th>])}</tr>
            </thead>
            <tbody>
              {Array.from({ length: HALF }, (_, i) => (
                <tr key={i}>{[i + 1, i + 1 + HALF].map((n) => [<th key={`n${n}`} scope="row">{n}</th>, <td key={`c${n}`}>{card(n)}</td>])}</tr>
              ))}
            </tbody>
          </table>
          <table class="marks">
            <caption>{say("student.step2.mark")}</caption>
            <tbody>
              {["more", "same", "less"].map((key) => <tr key={key}><th scope="row">{say(`student.${key}`)}</th>{blank.map((_, i) => <td key={i} />)}</tr>)}
            </tbody>
          </table>
          <p>{say("student.step2.sum")}</p>
          <h4>{say("student.step3")}</h4>
          <p>{say("student.step3.do")} {say("student.step3.pool")}</p>
        </>
      )}
      <p>{say("student.forecast")} {say("student.paper")} {say("student.local")}</p>
    </details>
  );
}
