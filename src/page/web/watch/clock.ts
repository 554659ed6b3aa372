// The time of the moving picture, which many things on the screen follow without the room being drawn anew.

import { useEffect, useState } from "preact/hooks";

export class Clock {
  /** Seconds on the screen. */
  now = 0;
  length = 0;
  speed = 1;
  running = false;
  private last = 0;
  private readonly heard = new Set<() => void>();

  listen(hear: () => void): () => void {
    this.heard.add(hear);
    return () => this.heard.delete(hear);
  }

  private tell(): void { for (const hear of [...this.heard]) hear(); }

  set(now: number): void {
    this.now = Math.min(Math.max(now, 0), this.length);
    this.tell();
  }

  play(): void {
    if (this.running) return;
    if (this.now >= this.length) this.now = 0;
    this.running = true;
    this.last = 0;
    requestAnimationFrame(this.frame);
    this.tell();
  }

  pause(): void {
    this.running = false;
    this.tell();
  }

  private readonly frame = (time: number): void => {
    if (!this.running) return;
    // A tab that was hidden does not leap ahead.
    if (this.last > 0) this.now = Math.min(this.now + (Math.min(time - this.last, 100) / 1000) * this.speed, this.length);
    this.last = time;
    if (this.now >= this.length) this.running = false;
    else requestAnimationFrame(this.frame);
    this.tell();
  };
}

/** Shows a component anew with every change of the time. */
export function useClock(clock: Clock): Clock {
  const [, show] = useState(0);
  useEffect(() => clock.listen(() => show((n) => n + 1)), [clock]);
  return clock;
}
