/// <reference lib="webworker" />
// One worker: an instance of the engine that answers one call after the other.

interface Engine {
  memory: WebAssembly.Memory;
  alloc(length: number): number;
  free(at: number, length: number): void;
  call(at: number, length: number): bigint;
}

let engine: Engine | undefined;

function call(head: unknown, bytes: Uint8Array): { head: unknown; bytes: Uint8Array; took: number } {
  if (!engine) throw new Error("not started");
  const text = new TextEncoder().encode(JSON.stringify(head));
  const length = 4 + text.length + bytes.length;
  const at = engine.alloc(length) >>> 0;
  const asked = new Uint8Array(engine.memory.buffer, at, length);
  new DataView(engine.memory.buffer).setUint32(at, text.length, true);
  asked.set(text, 4);
  asked.set(bytes, 4 + text.length);
  const start = performance.now();
  const packed = engine.call(at, length);
  const took = performance.now() - start;
  engine.free(at, length);
  const from = Number((packed >> 32n) & 0xffffffffn);
  const size = Number(packed & 0xffffffffn);
  // A copy: the memory may move with the next call.
  const answer = new Uint8Array(engine.memory.buffer, from, size).slice();
  engine.free(from, size);
  const cut = 4 + new DataView(answer.buffer).getUint32(0, true);
  return { head: JSON.parse(new TextDecoder().decode(answer.subarray(4, cut))), bytes: answer.slice(cut), took };
}

self.onmessage = async ({ data }: MessageEvent) => {
  try {
    if (data.module) {
      const made = await WebAssembly.instantiate(data.module as WebAssembly.Module, {});
      engine = made.exports as unknown as Engine;
      return;
    }
    const { head, bytes, took } = call(data.head, data.bytes);
    self.postMessage({ id: data.id, head, bytes, took }, [bytes.buffer]);
  } catch (error) {
    // A trap leaves the instance in an unknown state: the page starts a new one.
    self.postMessage({ id: data.id, broken: String(error) });
  }
};
