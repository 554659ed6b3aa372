// The built engine against the program: one and two workers, 20 summers of the allotment, the same bytes. Prints the time.
//
//     node src/page/check/engine.mjs FOLDER     a folder of `lurefield run scenarios/allotment-beetles.json --summers 20`
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { performance } from "node:perf_hooks";

const root = new URL("../../..", import.meta.url).pathname;
const module = new WebAssembly.Module(readFileSync(join(root, "target/page/engine.wasm")));
const imports = WebAssembly.Module.imports(module);
if (imports.length > 0) throw new Error(`the engine asks for ${JSON.stringify(imports)}`);

function worker() {
  const { memory, alloc, free, call } = new WebAssembly.Instance(module, {}).exports;
  return {
    memory,
    ask(head, raw = new Uint8Array()) {
      const json = new TextEncoder().encode(JSON.stringify(head));
      const length = 4 + json.length + raw.length;
      const at = alloc(length) >>> 0;
      const bytes = new Uint8Array(memory.buffer, at, length);
      new DataView(memory.buffer).setUint32(at, json.length, true);
      bytes.set(json, 4);
      bytes.set(raw, 4 + json.length);
      const found = call(at, length);
      free(at, length);
      const [to, size] = [Number(found >> 32n) >>> 0, Number(found & 0xffffffffn)];
      const answer = new Uint8Array(memory.buffer, to, size).slice();
      free(to, size);
      const end = 4 + new DataView(answer.buffer).getUint32(0, true);
      return [JSON.parse(new TextDecoder().decode(answer.subarray(4, end))), answer.subarray(end)];
    },
  };
}

function joined(shares) {
  const all = new Uint8Array(shares.reduce((sum, share) => sum + 4 + share.length, 0));
  let at = 0;
  for (const share of shares) {
    new DataView(all.buffer).setUint32(at, share.length, true);
    all.set(share, at + 4);
    at += 4 + share.length;
  }
  return all;
}

/** Asks so many workers in turn; each does every n-th unit of a stretch. Prints the time of all workers together. */
function found(n, question, text, options) {
  const workers = Array.from({ length: n }, worker);
  const begin = { do: "begin", id: 1, question, text, name: "allotment-beetles.json", options };
  const from = performance.now();
  let steps = 1;
  const all = (ask) => workers.map((w, k) => {
    const answer = ask(w, k);
    if (!answer[0].ok) throw new Error(answer[0].say);
    return answer;
  });
  let answers = all((w, k) => w.ask({ ...begin, files: k === 0 }));
  while (answers[0][0].state === "wants") {
    const { stretch, of } = answers[0][0].part;
    const raw = joined(answers.map((a) => a[1]).filter((share) => share.length > 0));
    const idle = raw.length > 0;
    answers = all((w, k) => {
      const units = idle ? [] : Array.from({ length: of }, (_, i) => i).filter((i) => i % n === k);
      return w.ask({ do: "advance", id: 1, stretch, units }, raw);
    });
    steps += 1;
  }
  const memory = workers[0].memory.buffer.byteLength;
  console.log(`${question} ${JSON.stringify(options)}, ${n} workers: ${Math.round(performance.now() - from)} ms of processor time, ` +
    `${steps} steps, ${(memory / 1e6).toFixed(0)} MB`);
  return answers[0][0];
}

const text = readFileSync(join(root, "scenarios/allotment-beetles.json"), "utf8");
const folder = process.argv[2];
const program = folder && readFileSync(join(folder, "run/summary.json"), "utf8");
const one = found(1, "run", text, { summers: 20 }).files["summary.json"];
const two = found(2, "run", text, { summers: 20 }).files["summary.json"];
if (one !== two) throw new Error("two workers find other bytes than one");
if (program && one !== program) throw new Error("the page finds other bytes than the program");
const two_plans = JSON.parse(text);
two_plans.plans = two_plans.plans.slice(0, 2);
found(2, "run", JSON.stringify(two_plans), { summers: 20 });
if (process.argv.includes("--all")) {
  found(2, "run", text, {});
  found(2, "place", text, {});
}
console.log(program ? "the same bytes as the program" : "one and two workers: the same bytes");
