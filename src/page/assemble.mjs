// Puts the page together: one file with the style, the scripts and the engine inside, and a policy that lets nothing else run
// and nothing be asked for. Usage: node assemble.mjs ENGINE.wasm OUT.html

import { build } from "esbuild";
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

const MOST_BYTES = 4_000_000;
const here = dirname(fileURLToPath(import.meta.url));
const [module, out] = process.argv.slice(2);

async function bundled(entry, format) {
  const made = await build({
    entryPoints: [join(here, "web", entry)], bundle: true, minify: true, write: false, format,
    target: "es2022", legalComments: "none", logLevel: "warning", charset: "utf8", outdir: "out",
    jsx: "automatic", jsxImportSource: "preact",
  });
  // What ends a script in the markup must not stand in one.
  return made.outputFiles[0].text.trim().replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--");
}

const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
const texts = (language) => JSON.parse(readFileSync(join(here, "..", "say", language, "page.json"), "utf8"));
const both = (key) => `${texts("en")[key]} <span lang="es">${texts("es")[key]}</span>`;

/** What the page is made from, as one hash: a page with another one is out of date (`tests/page.rs` takes the same). */
function sources() {
  const root = join(here, "..", "..");
  const left = ["src/cli", "src/main.rs", "src/page/check", "src/page/node_modules"];
  const under = (path) => readdirSync(join(root, path), { withFileTypes: true }).flatMap((entry) => {
    const at = [path, entry.name].join("/");
    if (left.includes(at)) return [];
    return entry.isDirectory() ? under(at) : [at];
  });
  const files = [...under("src"), ...under("scenarios"), "Cargo.lock", "Cargo.toml"].sort();
  const all = createHash("sha256");
  for (const file of files) all.update(file).update("\0").update(readFileSync(join(root, file))).update("\0");
  return all.digest("hex");
}

const script = await bundled("main.tsx", "esm");
const style = await bundled("page.css");
// The program's own pages are shown in a frame, with their own style.
const sheet = readFileSync(join(here, "..", "report", "products", "page.css"), "utf8");
const parts = {
  script,
  style,
  worker: await bundled("worker.ts", "iife"),
  engine: gzipSync(readFileSync(module), { level: 9 }).toString("base64"),
  sources: sources(),
  wait: both("page.start"),
  failed: both("page.failed"),
  noscript: both("page.noscript"),
  policy: `default-src 'none'; script-src ${hash(script)} 'wasm-unsafe-eval' blob:; worker-src blob:; style-src ${hash(style)} ${hash(sheet)}; img-src data: blob:; base-uri 'none'; form-action 'none'`,
};
const page = readFileSync(join(here, "web", "index.html"), "utf8").replace(/@(\w+)@/g, (whole, name) => parts[name] ?? whole);
const size = Buffer.byteLength(page);
if (size > MOST_BYTES) throw new Error(`${out}: ${size} bytes, more than ${MOST_BYTES}`);
writeFileSync(out, page);
console.log(`${out}: ${size} bytes (engine ${parts.engine.length}, script ${script.length}, style ${style.length})`);
