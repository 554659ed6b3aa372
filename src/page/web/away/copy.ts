// This page as a file, with a yard in it.

import type { Given } from "../types";

/** Text of a script element that holds JSON: nothing in it can end the element. */
const safe = (json: string): string => json.replaceAll("<", "\\u003c");

/** The file of this page as it was opened, with another yard inside. */
export function withYard(given: Given): string {
  const root = document.documentElement.cloneNode(true) as HTMLElement;
  root.lang = "en";
  const inside = (id: string): Element | null => root.querySelector(`[id="${id}"]`);
  const page = inside("page");
  const wait = document.createElement("p");
  wait.className = "wait";
  page?.replaceChildren(wait);
  const place = inside("yard");
  if (place) place.textContent = safe(JSON.stringify(given));
  const title = root.querySelector("title");
  if (title) title.textContent = "lurefield";
  // What stands after the end of a page is read into it: without this the file would grow with each saving.
  const body = root.querySelector("body");
  while (body?.lastChild && !(body.lastChild instanceof Element)) body.lastChild.remove();
  return `<!doctype html>\n${root.outerHTML}\n`;
}
