// Starts the page: unpacks the engine, opens the yard that stands in the file, and lends the engine to scripts.

import { render } from "preact";
import { App } from "./app";
import { Client, unpacked, workersWanted } from "./client";
import { Store, isPart, wasOpen, type Part } from "./store";
import type { Files, Given, Language, Options } from "./types";

/** The text of a part of this file. */
const inside = (id: string): string => document.getElementById(id)?.textContent ?? "";

declare global {
  interface Window {
    /** For scripts and tests: the program's own files of a question, for the text of a yard file of a name. */
    lurefield: {
      run(text: string, options?: Named): Promise<Files>;
      compare(text: string, options?: Named): Promise<Files>;
      place(text: string, options?: Named): Promise<Files>;
    };
  }
}

type Named = Options & { name?: string };

async function start(): Promise<void> {
  const code = URL.createObjectURL(new Blob([inside("worker")], { type: "text/javascript" }));
  const client = new Client(code, await unpacked(inside("engine")), workersWanted(location.hash));
  const ask = (question: "run" | "compare" | "place") => async (text: string, { name = "yard.json", ...options }: Named = {}): Promise<Files> =>
    (await client.ask(question, text, name, { language: "en", ...options })).files;
  window.lurefield = { run: ask("run"), compare: ask("compare"), place: ask("place") };
  // What `lurefield page` puts in: the yard's name, its text and the weather files that it names.
  const open = wasOpen();
  const given = open ?? (JSON.parse(inside("yard") || "null") as Given | null);
  const said = new URLSearchParams(location.hash.split("?")[1] ?? "").get("language") ?? given?.language ?? navigator.language;
  const language: Language = said.startsWith("es") ? "es" : "en";
  const doc: unknown = given ? JSON.parse(given.text) : null;
  const store = new Store(client, isPart(doc) ? doc : {}, given?.name ?? "yard", language);
  if (given) store.set({ inputs: given.inputs });
  if (open?.unsaved) store.markUnsaved();
  await store.speak(language);
  const first = store.state.choices?.yards[0];
  if (!isPart(doc) && first) store.begin(JSON.parse(first.text) as Part, first.name);
  const root = document.getElementById("page");
  if (root) {
    root.replaceChildren();
    render(<App store={store} />, root);
  }
}

start().catch((why: unknown) => {
  const [wait, failed] = ["page", "failed"].map((id) => document.getElementById(id));
  wait?.remove();
  failed?.removeAttribute("hidden");
  throw why;
});
