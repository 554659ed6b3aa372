// A picture of the page as a file: the drawing with its look written into it, as SVG and as PNG.

/** What a drawing takes from the style of the page. */
const LOOK = [
  "fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "paint-order", "text-anchor", "font-size", "font-family",
  "font-weight", "opacity",
];
const TWICE = 2;

/** The text of an SVG file that needs nothing beside it. */
export function drawn(svg: SVGSVGElement, title: string): string {
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
  const ground = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  for (const [key, value] of [["width", "100%"], ["height", "100%"], ["fill", "#fff"]] as const) ground.setAttribute(key, value);
  copy.prepend(name, ground);
  return `${new XMLSerializer().serializeToString(copy)}\n`;
}

/** The same as PNG, two points of it for each of the page. */
export async function painted(svg: SVGSVGElement, title: string): Promise<Blob> {
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(drawn(svg, title))}`;
  await image.decode();
  const { width, height } = svg.viewBox.baseVal;
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(width * TWICE), Math.round(height * TWICE)];
  canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((done, failed) => canvas.toBlob((blob) => (blob ? done(blob) : failed(new Error("PNG"))), "image/png"));
}
