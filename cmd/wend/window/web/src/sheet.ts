import { Ink, thinned } from "./ink.ts";
import { Line } from "./line.ts";
import type { Left, MachineState, PageSize } from "./messages.ts";

/** What is laid over the line: positions in mm. */
export type Marks = {
  stylus: [number, number] | null;
  faults: { place: [number, number]; error: boolean }[];
  measure: { draw(brush: Brush): void } | null;
  /** Where a drawing first differs from the one that is wanted. */
  ring: [number, number] | null;
  machine: MachineState | null;
  left: Left | null;
};

/** A canvas with the sheet's own scale: mm in, pixels out. */
export class Brush {
  constructor(
    readonly ctx: CanvasRenderingContext2D,
    readonly k: number,
    readonly left: number,
    readonly bottom: number,
    /** Pixels of the canvas for one pixel of the layout. */
    readonly dense: number,
    readonly colours: Colours,
  ) {}
  x(mm: number): number {
    return this.left + mm * this.k;
  }
  y(mm: number): number {
    return this.bottom - mm * this.k;
  }
}

export type Colours = Record<"ground" | "ink" | "rule" | "text" | "accent" | "fault" | "warn" | "drawn" | "desk" | "sketch", string>;

const layers = ["paper", "sketch", "plan", "glow", "ink", "marks"] as const;
type Layer = (typeof layers)[number];

/** The width of the ruler along the left and lower edge, in rem. */
const rulerRem = 2;

/**
 * The drawing paper with its ruler. Several canvases lie on each other, so that
 * a moving stylus costs no more than itself: the paper; the sketch of what is
 * wanted; the plan, which is the whole line, faint, under one that is still being
 * drawn; the glow of a chosen statement; the ink; the marks. Each is there from
 * when something is drawn on it: the first picture waits for two of them.
 */
export class Sheet {
  readonly marks: Marks = { stylus: null, faults: [], measure: null, ring: null, machine: null, left: null };
  line: Line | null = null;
  page: PageSize = { width: 200, height: 150, margin: 5, lineWidth: 0.5 };
  /** Whether somebody has said how large the page is; until then there is no paper. */
  private measured = false;
  /** Called after a line has been drawn whole. */
  onpicture: () => void = () => {};

  private readonly contexts = new Map<Layer, CanvasRenderingContext2D>();
  private width = 0; // of each canvas; 0 while the sheet has no room
  private height = 0;
  /** The whole line, the part of it that the time has come to, and one that is being made. */
  private whole: Ink | null = null;
  private part: Ink | null = null;
  private next: Ink | null = null;
  /** One that parts of the next line are laid on as they come: where they lie, and how many pieces they have. */
  private ahead: Ink | null = null;
  private aheadOf: ArrayBufferLike | null = null;
  private aheadPieces = 0;
  private band: Ink | null = null; // under what is chosen
  private asDrawn: Float32Array | null = null;
  private sketch: { draw(brush: Brush): void } | null = null;
  private chosen: number[] = [];
  private chosenPieces: [number, number] | null = null;
  private seconds = Infinity;
  private inked = 0; // pieces in part, and the seconds that it has come to
  private inkedTo = 0;
  private partly = false; // whether the canvases show the part
  k = 1; // where the page lies on the pixels: see Frame
  left = 0;
  bottom = 0;
  private dense = 1;
  private colours: Colours;
  private pending = 0;
  private readonly stale = new Set<Layer>(layers);
  private cursor = -1; // pieces in next; -1 when none is being made

  constructor(private readonly host: HTMLElement) {
    this.colours = readColours(host);
    new ResizeObserver(() => this.resized()).observe(host);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
      this.colours = readColours(host);
      this.fit();
    });
  }

  /** A layer's canvas, which is made when it is first asked for. */
  private layer(name: Layer): CanvasRenderingContext2D {
    let ctx = this.contexts.get(name);
    if (ctx) return ctx;
    const canvas = document.createElement("canvas");
    canvas.className = `layer ${name}`;
    canvas.setAttribute("aria-hidden", "true");
    canvas.hidden = name === "plan";
    canvas.width = this.width;
    canvas.height = this.height;
    ctx = canvas.getContext("2d")!;
    this.contexts.set(name, ctx);
    // Over those that lie below it, and under all else on the sheet.
    const below = layers.slice(0, layers.indexOf(name)).findLast((l) => this.contexts.has(l));
    if (below) this.contexts.get(below)!.canvas.after(canvas);
    else this.host.prepend(canvas);
    return ctx;
  }

  /** Whether nothing is on a layer and nothing comes: it need not be made. */
  private bare(name: Layer, something: unknown): boolean {
    return !something && !this.contexts.has(name);
  }

  private newInk(colour = this.colours.ink, opacity = 1): Ink {
    return new Ink(this.width, this.height, colour, opacity);
  }

  private ink(into: Ink, from: number, to: number): void {
    if (this.line) into.add(this.line.points, from, to, this, this.lineWidth);
  }

  /** Shows another line, or the same on another page; the old one stays until the new is whole. */
  show(line: Line | null, page: PageSize): void {
    const other = !this.measured || page.width !== this.page.width || page.height !== this.page.height || page.margin !== this.page.margin;
    const same = line === this.line && page.lineWidth === this.page.lineWidth;
    this.line = line;
    this.page = page;
    this.measured = true;
    this.chosen = [];
    this.chosenPieces = null;
    this.asDrawn = null;
    if (other) {
      this.fit();
    } else if (same) {
      this.touch("glow");
    } else if (line && line.points.buffer === this.aheadOf) {
      [this.next, this.ahead] = [this.ahead, this.next];
      this.redraw(this.aheadPieces);
    } else {
      this.next?.clear();
      this.redraw(0);
    }
    this.aheadOf = null;
  }

  /** Lays the ink of pieces of a line that is about to be shown, if it is shown on this page. */
  arrives(points: Float32Array, from: number, pieces: number): void {
    if (!this.measured || !this.width || (from > 0 && (this.aheadOf === null || from !== this.aheadPieces))) {
      this.aheadOf = null;
      return;
    }
    const ahead = (this.ahead ??= this.newInk());
    if (from === 0) ahead.clear();
    ahead.add(points, from, pieces, this, this.lineWidth);
    this.aheadOf = points.buffer;
    this.aheadPieces = pieces;
  }

  /** The line as far as it has come after so many seconds; Infinity is all of it. */
  showTime(seconds: number): void {
    if (seconds === this.seconds) return;
    this.seconds = seconds;
    if (this.cursor < 0) this.showInk(); // or when the line is whole
  }

  /**
   * Puts the ink on its canvases: all of it, or the part that the time has come
   * to over the whole. before is what was there of another line.
   */
  private showInk(before: Ink | null = null): void {
    const { line, whole } = this;
    if (!whole) return;
    const ink = this.layer("ink");
    const partly = this.seconds !== Infinity && line !== null;
    if (partly !== this.partly) {
      this.partly = partly;
      const plan = this.layer("plan");
      plan.canvas.hidden = !partly;
      for (const { canvas } of [plan, ink]) canvas.width = canvas.width; // clears it
      before = whole;
      this.part?.clear();
      this.inked = 0;
    }
    whole.show(partly ? this.layer("plan") : ink, before);
    if (!partly) return;
    const part = (this.part ??= this.newInk());
    if (this.seconds < this.inkedTo) {
      part.clear();
      this.inked = 0;
    }
    this.inkedTo = this.seconds;
    const upTo = line.piecesAt(this.seconds);
    if (upTo > this.inked) this.ink(part, this.inked, upTo);
    this.inked = upTo;
    if (upTo < line.pieces) {
      // The piece that is being drawn: over it the whole of it comes later.
      const begun = new Float32Array([...line.point(upTo), ...line.at(this.seconds).place]);
      part.add(begun, 0, 1, this, this.lineWidth);
    }
    part.show(ink);
  }

  /** Lights up what statements drew, or one stretch of pieces. */
  choose(statements: number[], pieces: [number, number] | null = null): void {
    this.chosen = statements;
    this.chosenPieces = pieces;
    this.touch("glow");
  }

  /** Lays a drawing that is wanted under the line. */
  showSketch(sketch: { draw(brush: Brush): void } | null): void {
    this.sketch = sketch;
    this.touch("sketch");
  }

  /** Lays over the line what the machine makes of it. */
  showAsDrawn(points: Float32Array | null): void {
    this.asDrawn = points;
    this.touch("glow");
  }

  get asDrawnShown(): boolean {
    return this.asDrawn !== null;
  }

  touch(layer: Layer): void {
    this.stale.add(layer);
    this.pending ||= requestAnimationFrame(() => this.frame());
  }

  /** A place of the layout, in mm from the lower left of the page. */
  mm(clientX: number, clientY: number): [number, number] {
    const box = this.host.getBoundingClientRect();
    return [
      ((clientX - box.left) * this.dense - this.left) / this.k,
      (this.bottom - (clientY - box.top) * this.dense) / this.k,
    ];
  }

  /** A place in mm as pixels of the layout within the host. */
  pixels(x: number, y: number): [number, number] {
    return [(this.left + x * this.k) / this.dense, (this.bottom - y * this.k) / this.dense];
  }

  /** How many mm a pixel of the layout is. */
  get mmPerPixel(): number {
    return this.dense / this.k;
  }

  /** A line of free points in a small canvas of its own, as in lists of pictures. */
  static thumbnail(canvas: HTMLCanvasElement, points: ArrayLike<number>, page: PageSize | null): void {
    const colours = readColours(canvas);
    const dense = devicePixelRatio || 1;
    const box = canvas.getBoundingClientRect();
    canvas.width = Math.max(1, Math.round((box.width || canvas.width) * dense));
    canvas.height = Math.max(1, Math.round((box.height || canvas.height) * dense));
    const ctx = canvas.getContext("2d")!;
    let [left, bottom, right, top] = [0, 0, page?.width ?? 0, page?.height ?? 0];
    if (!page) {
      [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
      for (let i = 0; i < points.length; i += 2) {
        left = Math.min(left, points[i]);
        right = Math.max(right, points[i]);
        bottom = Math.min(bottom, points[i + 1]);
        top = Math.max(top, points[i + 1]);
      }
    }
    const pad = 3 * dense;
    const k = Math.min((canvas.width - 2 * pad) / Math.max(1e-6, right - left), (canvas.height - 2 * pad) / Math.max(1e-6, top - bottom));
    const x0 = (canvas.width - (right - left) * k) / 2 - left * k;
    const y0 = (canvas.height + (top - bottom) * k) / 2 + bottom * k;
    ctx.strokeStyle = colours.ink;
    ctx.lineWidth = dense;
    ctx.lineJoin = "round";
    ctx.beginPath();
    for (let i = 0; i < points.length; i += 2) ctx.lineTo(x0 + points[i] * k, y0 - points[i + 1] * k);
    ctx.stroke();
  }

  /** How large the sheet is, in pixels of its canvases. */
  private room(): { width: number; height: number; dense: number } {
    const box = this.host.getBoundingClientRect();
    const dense = devicePixelRatio || 1;
    return { width: Math.round(box.width * dense), height: Math.round(box.height * dense), dense };
  }

  /** The size of the sheet was told: at first it is that which it was drawn with already. */
  private resized(): void {
    const { width, height, dense } = this.room();
    if (width !== this.width || height !== this.height || dense !== this.dense) this.fit();
  }

  private fit(): void {
    const { width, height, dense } = this.room();
    if (!width || !height) return;
    this.dense = dense;
    this.width = width;
    this.height = height;
    for (const { canvas } of this.contexts.values()) {
      canvas.width = width;
      canvas.height = height;
    }
    this.whole = this.part = this.next = this.ahead = this.band = null;
    this.aheadOf = null;
    this.inked = 0;
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize) * this.dense;
    const ruler = rulerRem * rem;
    const edge = 0.75 * rem;
    const { width: w, height: h, margin } = this.page;
    // Below the ruler is room for the title block.
    const block = 2.2 * rem;
    this.k = Math.min((width - ruler - 2 * edge - 1.6 * rem) / (w + 2 * margin), (height - ruler - block - 2 * edge) / (h + 2 * margin));
    this.k = Math.max(this.k, 0.05);
    const paperWidth = (w + 2 * margin) * this.k;
    const paperHeight = (h + 2 * margin) * this.k;
    const x = Math.max(ruler + edge, (width - paperWidth + ruler - 1.6 * rem) / 2);
    const y = Math.max(edge, (height - ruler - block - paperHeight) / 2);
    this.left = x + margin * this.k;
    this.bottom = y + paperHeight - margin * this.k;
    const px = (v: number): string => `${v / this.dense}px`;
    this.host.style.setProperty("--paper-left", px(x));
    this.host.style.setProperty("--paper-right", px(x + paperWidth));
    this.host.style.setProperty("--paper-top", px(y));
    this.host.style.setProperty("--paper-bottom", px(y + paperHeight));
    if (!this.measured) return;
    this.drawPaper(x, y, paperWidth, paperHeight, ruler, rem);
    this.touch("marks");
    this.touch("sketch");
    this.redraw(0);
  }

  private brush(layer: Layer): Brush {
    return new Brush(this.layer(layer), this.k, this.left, this.bottom, this.dense, this.colours);
  }

  private drawPaper(x: number, y: number, w: number, h: number, ruler: number, rem: number): void {
    const b = this.brush("paper");
    const ctx = b.ctx;
    const c = this.colours;
    const thin = Math.max(1, Math.round(this.dense));
    ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height);
    ctx.fillStyle = c.ground;
    ctx.fillRect(x, y, w, h);
    ctx.lineWidth = thin;
    ctx.strokeStyle = c.rule;
    ctx.setLineDash([thin, 3 * thin]);
    ctx.strokeRect(b.x(0), b.y(this.page.height), this.page.width * this.k, this.page.height * this.k);
    ctx.setLineDash([]);
    // The ruler: a stroke each mm where there is room, longer ones at 5 and 10.
    const fine = [1, 5, 10, 50].find((mm) => mm * this.k >= 3.2 * this.dense) ?? 100;
    let label = 10;
    while (label * this.k < 2.6 * rem) label *= label === 10 || label === 100 ? 2 : 2.5;
    ctx.fillStyle = c.text;
    ctx.strokeStyle = c.text;
    ctx.font = `${0.6875 * rem}px system-ui, sans-serif`;
    ctx.beginPath();
    for (let mm = 0; mm <= this.page.width; mm += fine) {
      const length = mm % 10 === 0 ? 0.55 : mm % 5 === 0 ? 0.38 : 0.2;
      const at = Math.round(b.x(mm)) + 0.5;
      ctx.moveTo(at, y + h + 0.15 * rem);
      ctx.lineTo(at, y + h + (0.15 + length) * rem);
    }
    for (let mm = 0; mm <= this.page.height; mm += fine) {
      const length = mm % 10 === 0 ? 0.55 : mm % 5 === 0 ? 0.38 : 0.2;
      const at = Math.round(b.y(mm)) + 0.5;
      ctx.moveTo(x - 0.15 * rem, at);
      ctx.lineTo(x - (0.15 + length) * rem, at);
    }
    ctx.stroke();
    ctx.textAlign = "center";
    ctx.textBaseline = "top";
    for (let mm = 0; mm <= this.page.width; mm += label) ctx.fillText(String(mm), b.x(mm), y + h + 0.8 * rem);
    ctx.textAlign = "right";
    ctx.textBaseline = "middle";
    for (let mm = 0; mm <= this.page.height; mm += label) ctx.fillText(String(mm), x - 0.8 * rem, b.y(mm));
    ctx.textAlign = "left";
    ctx.textBaseline = "top";
    ctx.fillText("mm", x - ruler + 0.2 * rem, y + h + 0.8 * rem);
  }

  /** Lays the ink from a piece on, in parts of a frame each, and shows it when it is whole. */
  private redraw(from: number): void {
    this.touch("glow");
    if (!this.width) return; // it is drawn when there is room
    this.cursor = from;
    // A short line is whole before the next frame; a long one goes on in the next ones.
    this.work(40);
    this.touch("ink");
  }

  private frame(): void {
    this.pending = 0;
    this.stale.delete("ink");
    if (this.cursor >= 0) this.work(30);
    if (this.cursor >= 0) this.touch("ink");
    if (!this.width) return;
    if (this.stale.delete("sketch") && !this.bare("sketch", this.sketch)) {
      const brush = this.brush("sketch");
      brush.ctx.clearRect(0, 0, brush.ctx.canvas.width, brush.ctx.canvas.height);
      this.sketch?.draw(brush);
    }
    if (this.stale.delete("glow") && !this.bare("glow", this.glows)) this.drawGlow();
    const { faults, measure, ring, stylus, machine } = this.marks;
    if (this.stale.delete("marks") && !this.bare("marks", faults.length || measure || ring || stylus || (machine && machine.state !== "none"))) this.drawMarks();
  }

  private work(spanMS: number): void {
    const total = this.line?.pieces ?? 0;
    const until = performance.now() + spanMS;
    const next = (this.next ??= this.newInk());
    while (this.cursor < total) {
      const to = Math.min(total, this.cursor + 4096);
      this.ink(next, this.cursor, to);
      this.cursor = to;
      if (this.cursor < total && performance.now() >= until) return;
    }
    this.cursor = -1;
    [this.whole, this.next] = [next, this.whole];
    this.part?.clear();
    this.inked = 0;
    this.showInk(this.next);
    this.onpicture();
  }

  private get lineWidth(): number {
    return Math.max(this.page.lineWidth * this.k, 1.1 * this.dense);
  }

  /**
   * Strokes pieces in paths of a few dozen: one path of many thousands that
   * crosses itself costs far more.
   */
  private trace(ctx: CanvasRenderingContext2D, p: Float32Array, from: number, to: number): void {
    if (to <= from) return;
    let inPath = 0;
    thinned(p, from, to, this, (x, y) => {
      if (inPath === 0) ctx.beginPath();
      ctx.lineTo(x, y);
      if (++inPath < 64) return;
      ctx.stroke();
      ctx.beginPath();
      ctx.moveTo(x, y);
      inPath = 1;
    });
    ctx.stroke();
  }

  /** Whether something is chosen or laid over the line. */
  private get glows(): boolean {
    return this.chosen.length > 0 || this.chosenPieces !== null || this.asDrawn !== null || this.marks.left !== null || (this.marks.machine !== null && this.marks.machine.state !== "none");
  }

  private drawGlow(): void {
    const { ctx } = this.brush("glow");
    ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height);
    ctx.lineCap = "round";
    ctx.lineJoin = "round";
    const line = this.line;
    if (line && (this.chosenPieces || this.chosen.length)) {
      const runs = this.chosenPieces ? [this.chosenPieces] : this.chosen.flatMap((s) => line.runsOf(s));
      // A wide band with cross strokes: seen without colour too.
      const wide = this.lineWidth + 7 * this.dense;
      const band = (this.band ??= this.newInk(this.colours.accent, 0.45));
      band.clear();
      for (const [from, to] of runs) band.add(line.points, from, to, this, wide);
      band.show(ctx, band);
      ctx.strokeStyle = this.colours.accent;
      ctx.lineCap = "butt";
      ctx.lineWidth = wide;
      ctx.setLineDash([1.5 * this.dense, 5 * this.dense]);
      for (const [from, to] of runs) this.trace(ctx, line.points, from, to);
      ctx.setLineDash([]);
    }
    if (this.asDrawn) {
      ctx.strokeStyle = this.colours.fault;
      ctx.lineWidth = 1.5 * this.dense;
      ctx.setLineDash([6 * this.dense, 3 * this.dense]);
      this.trace(ctx, this.asDrawn, 0, this.asDrawn.length / 2 - 1);
      ctx.setLineDash([]);
    }
    this.drawQueue();
    this.drawLeft();
  }

  /** How far a drawing that was cut off came, and where the stylus may stand. */
  private drawLeft(): void {
    const left = this.marks.left;
    if (!left) return;
    const { ctx } = this.brush("glow");
    ctx.lineCap = "butt";
    ctx.lineWidth = this.lineWidth + 4 * this.dense;
    for (const [points, colour, dash] of [
      [left.drawn, this.colours.drawn, []],
      [left.possible, this.colours.warn, [2, 3]],
      [left.within, this.colours.warn, [2, 3]],
    ] as [[number, number][], string, number[]][]) {
      if (points.length < 2) continue;
      ctx.strokeStyle = colour;
      ctx.setLineDash(dash.map((mm) => mm * this.dense));
      this.trace(ctx, new Float32Array(points.flat()), 0, points.length - 1);
    }
    ctx.setLineDash([]);
  }

  /** What a machine has drawn, and what waits in it: another colour and dash each. */
  private drawQueue(): void {
    const m = this.marks.machine;
    const line = this.line;
    if (!m || !line || !["armed", "moving", "held", "stopped"].includes(m.state)) return;
    const { ctx } = this.brush("glow");
    const drawn = Math.min(m.drawn, line.pieces);
    const queued = Math.min(drawn + m.queued, line.pieces);
    ctx.lineCap = "butt";
    ctx.strokeStyle = this.colours.drawn;
    ctx.lineWidth = this.lineWidth + 4 * this.dense;
    this.trace(ctx, line.points, 0, drawn);
    ctx.strokeStyle = this.colours.warn;
    ctx.setLineDash([2 * this.dense, 3 * this.dense]);
    this.trace(ctx, line.points, drawn, queued);
    ctx.setLineDash([]);
  }

  private drawMarks(): void {
    const b = this.brush("marks");
    const { ctx, colours: c } = b;
    ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height);
    const d = this.dense;
    for (const fault of this.marks.faults) {
      const [x, y] = [b.x(fault.place[0]), b.y(fault.place[1])];
      ctx.lineWidth = 2.5 * d;
      ctx.strokeStyle = fault.error ? c.fault : c.warn;
      ctx.beginPath();
      ctx.arc(x, y, 9 * d, 0, 2 * Math.PI);
      ctx.moveTo(x - 4 * d, y - 4 * d);
      ctx.lineTo(x + 4 * d, y + 4 * d);
      ctx.moveTo(x + 4 * d, y - 4 * d);
      ctx.lineTo(x - 4 * d, y + 4 * d);
      ctx.stroke();
    }
    this.marks.measure?.draw(b);
    if (this.marks.ring) {
      // Three strokes side by side, so that it is no mark of a beginning or an end.
      ctx.strokeStyle = c.fault;
      ctx.lineWidth = 1.5 * d;
      for (const radius of [13, 16.5, 20]) {
        ctx.beginPath();
        ctx.arc(b.x(this.marks.ring[0]), b.y(this.marks.ring[1]), radius * d, 0, 2 * Math.PI);
        ctx.stroke();
      }
    }
    if (this.marks.stylus) {
      const [x, y] = [b.x(this.marks.stylus[0]), b.y(this.marks.stylus[1])];
      // Cross hairs: they name a point and leave the line under it to be seen.
      for (const [colour, width] of [[c.ground, 5], [c.accent, 2.5]] as const) {
        ctx.strokeStyle = colour;
        ctx.lineWidth = width * d;
        ctx.beginPath();
        for (const [u, v] of [[1, 0], [0, 1], [-1, 0], [0, -1]] as const) {
          ctx.moveTo(x + 4 * u * d, y + 4 * v * d);
          ctx.lineTo(x + 14 * u * d, y + 14 * v * d);
        }
        ctx.stroke();
      }
    }
    const m = this.marks.machine;
    if (m && m.state !== "none" && m.at && m.certainty !== "lost") {
      const [x, y] = [b.x(m.at[0]), b.y(m.at[1])];
      ctx.strokeStyle = c.drawn;
      ctx.lineWidth = 2 * d;
      ctx.setLineDash(m.certainty === "confirmed" ? [] : [3 * d, 3 * d]);
      ctx.beginPath();
      ctx.arc(x, y, 11 * d, 0, 2 * Math.PI);
      ctx.stroke();
      ctx.setLineDash([]);
      ctx.fillStyle = c.drawn;
      ctx.beginPath();
      ctx.arc(x, y, 3 * d, 0, 2 * Math.PI);
      ctx.fill();
      ctx.font = `600 ${12 * d}px system-ui, sans-serif`;
      ctx.textAlign = "left";
      ctx.textBaseline = "bottom";
      // Over a line it is read on a rim of paper.
      ctx.strokeStyle = c.ground;
      ctx.lineWidth = 4 * d;
      ctx.lineJoin = "round";
      ctx.strokeText(m.certainty, x + 13 * d, y - 6 * d);
      ctx.fillText(m.certainty, x + 13 * d, y - 6 * d);
    }
  }
}

export function readColours(element: Element): Colours {
  const style = getComputedStyle(element);
  const colour = (name: string): string => style.getPropertyValue(`--${name}`).trim() || "#000";
  return {
    ground: colour("ground"),
    ink: colour("ink"),
    rule: colour("rule"),
    text: colour("text"),
    accent: colour("accent"),
    fault: colour("fault"),
    warn: colour("warn"),
    drawn: colour("drawn"),
    desk: colour("desk"),
    sketch: colour("sketch"),
  };
}
