import type { Line } from "./line.ts";
import { readColours, type Colours } from "./sheet.ts";

/** A span of time in words: 3 min 20 s. */
export function inWords(seconds: number): string {
  if (seconds < 10) return `${Math.round(seconds * 10) / 10} s`;
  const whole = Math.round(seconds);
  if (whole < 60) return `${whole} s`;
  const minutes = Math.floor(whole / 60);
  if (minutes < 60) return `${minutes} min${whole % 60 ? ` ${whole % 60} s` : ""}`;
  return `${Math.floor(minutes / 60)} h${minutes % 60 ? ` ${minutes % 60} min` : ""}`;
}

export type TimeHooks = {
  /** The second that is shown; Infinity is the whole line. */
  moved(seconds: number): void;
  /** What stands there, in words. */
  told(seconds: number): string;
  playing(on: boolean): void;
};

const paces = [1, 10, 100];

/**
 * The drawing's time, as a tape with a stroke for each span of seconds. It is a
 * slider: pulled, or moved by the arrow keys.
 */
export class TimeLine {
  private line: Line | null = null;
  private seconds = Infinity;
  private pace = 0;
  private running = 0;
  private last = 0;
  private owed = 0;
  private colours: Colours | null = null;
  private rem = 16;
  private readonly canvas = document.createElement("canvas");

  constructor(
    private readonly host: HTMLElement,
    private readonly hooks: TimeHooks,
  ) {
    this.canvas.setAttribute("aria-hidden", "true");
    host.append(this.canvas);
    const anew = (): void => {
      this.colours = readColours(host);
      this.rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
      this.draw();
    };
    new ResizeObserver(anew).observe(host);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", anew);
    host.addEventListener("pointerdown", (event) => {
      this.stop();
      host.setPointerCapture(event.pointerId);
      this.pull(event);
    });
    host.addEventListener("pointermove", (event) => host.hasPointerCapture(event.pointerId) && this.pull(event));
    host.addEventListener("keydown", (event) => this.key(event));
  }

  show(line: Line | null): void {
    this.line = line;
    if (this.seconds !== Infinity && this.seconds >= this.duration) this.seconds = Infinity;
    this.draw();
  }

  get duration(): number {
    return this.line?.duration ?? 0;
  }

  get at(): number {
    return this.seconds;
  }

  get speed(): number {
    return paces[this.pace];
  }

  get plays(): boolean {
    return this.running !== 0;
  }

  set(seconds: number): void {
    this.seconds = seconds >= this.duration ? Infinity : Math.max(0, seconds);
    this.draw();
    this.hooks.moved(this.seconds);
  }

  play(): void {
    if (this.plays || !this.duration) return;
    if (this.seconds === Infinity) this.set(0);
    this.last = performance.now();
    this.running = requestAnimationFrame((now) => this.tick(now));
    this.hooks.playing(true);
  }

  stop(): void {
    if (!this.plays) return;
    cancelAnimationFrame(this.running);
    this.running = 0;
    this.hooks.playing(false);
  }

  toggle(): void {
    if (this.plays) this.stop();
    else this.play();
  }

  nextPace(): number {
    this.pace = (this.pace + 1) % paces.length;
    this.draw();
    return this.speed;
  }

  private tick(now: number): void {
    this.running = requestAnimationFrame((t) => this.tick(t));
    this.owed += ((now - this.last) / 1000) * this.speed;
    this.last = now;
    // Whoever wants less motion gets two pictures a second.
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (calm && this.owed < 0.5 * this.speed) return;
    const next = this.seconds + this.owed;
    this.owed = 0;
    this.set(next);
    if (this.seconds === Infinity) this.stop();
  }

  private pull(event: PointerEvent): void {
    const box = this.host.getBoundingClientRect();
    const inset = 8;
    const part = (event.clientX - box.left - inset) / Math.max(1, box.width - 2 * inset);
    this.set(Math.max(0, Math.min(1, part)) * this.duration);
  }

  private key(event: KeyboardEvent): void {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const now = Math.min(this.seconds, this.duration);
    const small = Math.max(0.1, this.duration / 200);
    const to: Record<string, number> = {
      ArrowLeft: now - small,
      ArrowDown: now - small,
      ArrowRight: now + small,
      ArrowUp: now + small,
      PageUp: now + this.duration / 10,
      PageDown: now - this.duration / 10,
      Home: 0,
      End: Infinity,
    };
    if (!(event.key in to)) return;
    event.preventDefault();
    event.stopPropagation();
    this.stop();
    this.set(to[event.key]);
  }

  private draw(): void {
    const { host, canvas } = this;
    const box = host.getBoundingClientRect();
    const c = this.colours;
    if (!box.width || !c) return;
    const d = devicePixelRatio || 1;
    const width = Math.round(box.width * d);
    const height = Math.round(box.height * d);
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    const ctx = canvas.getContext("2d")!;
    const rem = this.rem * d;
    ctx.clearRect(0, 0, width, height);
    const inset = 8 * d;
    const scale = (width - 2 * inset) / Math.max(1e-9, this.duration);
    const now = Math.min(this.seconds, this.duration);
    const middle = height * 0.34;
    ctx.strokeStyle = c.text;
    ctx.lineWidth = d;
    ctx.font = `${0.6875 * rem}px system-ui, sans-serif`;
    ctx.fillStyle = c.text;
    ctx.textBaseline = "alphabetic";
    if (this.duration) {
      const spans = [0.1, 0.5, 1, 5, 10, 30, 60, 300, 600, 1800, 3600, 14400, 86400];
      const large = spans.find((s) => s * scale >= 4.5 * rem) ?? 86400;
      const small = spans.findLast((s) => s < large && s * scale >= 5 * d) ?? large;
      ctx.beginPath();
      for (let i = 0; i * small <= this.duration; i++) {
        const x = Math.round(inset + i * small * scale) + 0.5;
        const long = Math.abs((i * small) / large - Math.round((i * small) / large)) < 1e-6;
        ctx.moveTo(x, middle);
        ctx.lineTo(x, middle + (long ? 0.5 : 0.25) * rem);
      }
      ctx.stroke();
      for (let t = 0; t <= this.duration; t += large) {
        const x = inset + t * scale;
        ctx.textAlign = t === 0 ? "left" : x > width - 3 * rem ? "right" : "center";
        ctx.fillText(inWords(t), t === 0 ? 2 * d : x, height - 2 * d);
      }
    }
    ctx.fillStyle = c.rule;
    ctx.fillRect(inset, middle - 2 * d, width - 2 * inset, 2 * d);
    ctx.fillStyle = c.accent;
    ctx.fillRect(inset, middle - 3 * d, now * scale, 4 * d);
    const x = inset + (this.duration ? now * scale : 0);
    ctx.beginPath();
    ctx.moveTo(x, middle + 3 * d);
    ctx.lineTo(x + 6 * d, middle - 9 * d);
    ctx.lineTo(x - 6 * d, middle - 9 * d);
    ctx.closePath();
    ctx.fill();
    host.setAttribute("aria-valuemax", String(Math.round(this.duration * 10) / 10));
    host.setAttribute("aria-valuenow", String(Math.round(now * 10) / 10));
    host.setAttribute("aria-valuetext", this.hooks.told(this.seconds));
  }
}
