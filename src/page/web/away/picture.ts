// A picture of the page as a file: the drawing with its look written into it, as SVG and as PNG.

/** What a drawing takes from the style of the page. */
const LOOK = [
  "fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "paint-order", "text-anchor", "font-size", "font-family",
  "font-weight", "opacity",
];
const TWICE = 2;
/** Height of a line of words, and how wide a letter is at most. */
const [LINE, LETTER] = [18, 7.5];

/** Words in lines no wider than the picture. */
function lines(said: string, width: number): string[] {
  const most = Math.max(Math.floor(width / LETTER), 12);
  return said.split(" ").reduce<string[]>((all, word) => {
    const last = all[all.length - 1];
    return last !== undefined && last.length + word.length < most ? [...all.slice(0, -1), `${last} ${word}`] : [...all, word];
  }, []);
}

/** The text of an SVG file that needs nothing beside it: its title above, what its marks mean below. */
export function drawn(svg: SVGSVGElement, title: string, key: string[]): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const [from, to] = [[svg, ...svg.querySelectorAll("*")], [copy, ...copy.querySelectorAll("*")]];
  from.forEach((element, i) => {
    const [look, target] = [getComputedStyle(element), to[i]];
    if (!target || ["defs", "title", "pattern"].includes(element.tagName)) return;
    for (const name of LOOK) target.setAttribute(name, look.getPropertyValue(name));
    for (const name of ["class", "tabindex", "role", "aria-label", "aria-hidden", "aria-pressed", "data-thing"]) target.removeAttribute(name);
  });
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  const name = document.createElementNS("http://www.w3.org/2000/svg", "title");
  name.textContent = title;
  const { x, y, width, height } = svg.viewBox.baseVal;
  const [above, below] = [lines(title, width), key.flatMap((line) => lines(line, width))];
  const [top, whole] = [y - (above.length + 0.5) * LINE, height + (above.length + below.length + 1) * LINE];
  const set = (tag: string, look: Record<string, string | number>, words = ""): Element => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [key, value] of Object.entries(look)) element.setAttribute(key, String(value));
    element.textContent = words;
    return element;
  };
  const said = (all: string[], first: number, weight: string): Element[] =>
    all.map((words, i) => set("text", { x: x + 4, y: first + i * LINE, "font-size": 13, "font-family": "sans-serif", "font-weight": weight, fill: "#000" }, words));
  for (const [side, value] of [["viewBox", `${x} ${top} ${width} ${whole}`], ["width", width], ["height", whole]] as const) copy.setAttribute(side, String(value));
  copy.prepend(name, set("rect", { x, y: top, width, height: whole, fill: "#fff" }), ...said(above, top + LINE, "bold"), ...said(below, y + height + LINE, "normal"));
  return `${new XMLSerializer().serializeToString(copy)}\n`;
}

/** The same as PNG, two points of it for each of the page. */
export async function painted(svg: SVGSVGElement, title: string, key: string[]): Promise<Blob> {
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(drawn(svg, title, key))}`;
  await image.decode();
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(image.naturalWidth * TWICE), Math.round(image.naturalHeight * TWICE)];
  canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((done, failed) => canvas.toBlob((blob) => (blob ? done(blob) : failed(new Error("PNG"))), "image/png"));
}
