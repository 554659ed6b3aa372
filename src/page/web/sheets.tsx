// Pages of the program, made in this page: shown one at a time, to print and to keep.

import type { JSX } from "preact";
import { useMemo, useRef, useState } from "preact/hooks";
import { ChoiceField, keep } from "./fields";
import { say } from "./say";
import type { Store } from "./store";
import type { Files } from "./types";

/** What tells results: files by name, why a product is missing, and the command that makes the results anew. */
export interface Told { files: Files; missing: Record<string, string>; repeat: string }

/** The products of results about one plan. */
export function tell(store: Store, head: { text: string; name: string; files: Files; plan: string; products: string[] }): Promise<Told> {
  const { inputs, language } = store.state;
  return store.client.short<Told>({ do: "story", inputs, language, ...head });
}

/** The handout comes first, then the class pack. */
const rank = (file: string): number => (file.startsWith("handout") ? 0 : file.startsWith("class/") ? 1 : 2);

/** What a page calls itself: its kind, and its title. */
function nameOf(html: string): string {
  const page = new DOMParser().parseFromString(html, "text/html");
  return [".kind", "h1"].map((part) => page.querySelector(part)?.textContent ?? "").join(": ");
}

/** One of several pages in a frame that runs nothing, with its name before that of its file. */
export function Sheets({ files, name }: { files: Files; name: string }): JSX.Element | null {
  const sheets = useMemo(() => Object.entries(files).filter(([file]) => file.endsWith(".html"))
    .map(([file, html]) => ({ file, html, name: nameOf(html) })).sort((a, b) => rank(a.file) - rank(b.file)), [files]);
  const [chosen, choose] = useState("");
  const frame = useRef<HTMLIFrameElement>(null);
  const sheet = sheets.find(({ file }) => file === chosen) ?? sheets[0];
  if (!sheet) return null;
  const { file, html } = sheet;
  const fit = (): void => {
    const [shown, inside] = [frame.current, frame.current?.contentDocument?.documentElement];
    if (shown && inside) shown.style.height = `${inside.scrollHeight + 2}px`;
  };
  return (
    <div class="sheets">
      <div class="bar low">
        <ChoiceField label={say("page.sheets.which")} value={file} options={sheets.map((one) => ({ id: one.file, name: one.name }))} onChange={choose} />
        <button type="button" onClick={() => frame.current?.contentWindow?.print()}>{say("page.sheets.print")}</button>
        <button type="button" onClick={() => keep(`${name}-${file.split("/").at(-1) ?? ""}`, html, "text/html")}>{say("page.sheets.keep")}</button>
      </div>
      <iframe ref={frame} title={sheet.name} sandbox="allow-same-origin allow-modals" srcDoc={html} onLoad={fit} />
    </div>
  );
}
