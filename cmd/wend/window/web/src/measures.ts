import type { Line } from "./line.ts";
import type { Measure } from "./messages.ts";
import type { Brush } from "./sheet.ts";

/** A measure as it lies on the sheet, with a handle at its end. */
export interface Drawn {
  draw(brush: Brush): void;
  /** The place of the handle, mm. */
  readonly handle: [number, number];
  /** The number that would bring the handle to this place. */
  valueAt(x: number, y: number): number;
}

const direction = (a: [number, number], b: [number, number]): number => (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;

/** A dimension line beside a stretch from a to b, of which one number is the length. */
export class Dimension implements Drawn {
  private readonly away: [number, number];
  private readonly length: number;

  constructor(
    private readonly a: [number, number],
    private readonly b: [number, number],
    private readonly value: number,
    private readonly unit: string,
    beside: number,
  ) {
    this.length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    // To the right of the way that the stylus goes.
    const by = beside / (this.length || 1);
    this.away = [(b[1] - a[1]) * by, -(b[0] - a[0]) * by];
  }

  get handle(): [number, number] {
    return [this.b[0] + this.away[0], this.b[1] + this.away[1]];
  }

  valueAt(x: number, y: number): number {
    if (this.length === 0) return this.value;
    const along = ((x - this.away[0] - this.a[0]) * (this.b[0] - this.a[0]) + (y - this.away[1] - this.a[1]) * (this.b[1] - this.a[1])) / this.length;
    return (this.value * along) / this.length;
  }

  draw(b: Brush): void {
    const { ctx, dense: d } = b;
    const [fromX, fromY] = [b.x(this.a[0] + this.away[0]), b.y(this.a[1] + this.away[1])];
    const [toX, toY] = [b.x(this.handle[0]), b.y(this.handle[1])];
    ctx.strokeStyle = b.colours.accent;
    ctx.lineWidth = 1.5 * d;
    ctx.beginPath();
    ctx.moveTo(b.x(this.a[0]), b.y(this.a[1]));
    ctx.lineTo(fromX, fromY);
    ctx.lineTo(toX, toY);
    ctx.lineTo(b.x(this.b[0]), b.y(this.b[1]));
    ctx.stroke();
    label(b, `${print(this.value)} ${this.unit}`, (fromX + toX) / 2, (fromY + toY) / 2);
    knob(b, fromX, fromY, 2.5);
    knob(b, toX, toY, 6);
  }
}

/** The arc of an angle at a corner, from one direction turned by so many degrees. */
export class Turn implements Drawn {
  constructor(
    private readonly corner: [number, number],
    private readonly from: number,
    private readonly value: number,
    /** Degrees to one of its unit. */
    private readonly degrees: number,
    private readonly radius: number,
  ) {}

  get handle(): [number, number] {
    const a = ((this.from + this.value * this.degrees) * Math.PI) / 180;
    return [this.corner[0] + this.radius * Math.cos(a), this.corner[1] + this.radius * Math.sin(a)];
  }

  valueAt(x: number, y: number): number {
    const now = direction(this.corner, [x, y]) - this.from;
    // Of all turns that end there, the nearest to the one that stands.
    return (now + 360 * Math.round((this.value * this.degrees - now) / 360)) / this.degrees;
  }

  draw(b: Brush): void {
    const { ctx, dense: d } = b;
    const [x, y] = [b.x(this.corner[0]), b.y(this.corner[1])];
    const r = this.radius * b.k;
    const start = (-this.from * Math.PI) / 180;
    const end = (-(this.from + this.value * this.degrees) * Math.PI) / 180;
    ctx.strokeStyle = b.colours.accent;
    ctx.lineWidth = 1.5 * d;
    ctx.setLineDash([4 * d, 3 * d]);
    ctx.beginPath();
    ctx.moveTo(x, y);
    ctx.lineTo(x + 1.3 * r * Math.cos(start), y + 1.3 * r * Math.sin(start));
    ctx.stroke();
    ctx.setLineDash([]);
    ctx.beginPath();
    ctx.arc(x, y, r, start, end, this.value > 0);
    ctx.moveTo(x, y);
    ctx.lineTo(x + 1.3 * r * Math.cos(end), y + 1.3 * r * Math.sin(end));
    ctx.stroke();
    const middle = (start + end) / 2;
    label(b, this.degrees === 1 ? `${print(this.value)}°` : `${print(this.value)} rad`, x + 1.7 * r * Math.cos(middle), y + 1.7 * r * Math.sin(middle));
    const [hx, hy] = this.handle;
    knob(b, b.x(hx), b.y(hy), 6);
  }
}

function knob(b: Brush, x: number, y: number, radius: number): void {
  b.ctx.fillStyle = b.colours.ground;
  b.ctx.strokeStyle = b.colours.accent;
  b.ctx.lineWidth = 2 * b.dense;
  b.ctx.beginPath();
  b.ctx.arc(x, y, radius * b.dense, 0, 2 * Math.PI);
  b.ctx.fill();
  b.ctx.stroke();
}

function label(b: Brush, text: string, x: number, y: number): void {
  const { ctx, dense: d } = b;
  ctx.font = `600 ${13 * d}px system-ui, sans-serif`;
  const width = ctx.measureText(text).width;
  ctx.fillStyle = b.colours.ground;
  ctx.fillRect(x - width / 2 - 4 * d, y - 9 * d, width + 8 * d, 18 * d);
  ctx.fillStyle = b.colours.accent;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  ctx.fillText(text, x, y);
}

/** A number as the language prints it: at most four decimals. */
export function print(value: number): string {
  return String(Math.round(value * 1e4) / 1e4 || 0);
}

/** A number to the same step as the one that it replaces: as many decimals as that has. */
export function rounded(value: number, literal: string): string {
  const decimals = Math.min(4, /\.(\d+)/.exec(literal)?.[1].length ?? 0);
  return String(Number(value.toFixed(decimals)) || 0);
}

/** The number after so many steps of its last decimal. */
export function stepped(literal: string, steps: number): string | null {
  const value = Number(literal.replaceAll("_", ""));
  if (!Number.isFinite(value)) return null;
  const decimals = Math.min(4, /\.(\d+)/.exec(literal)?.[1].length ?? 0);
  return rounded(value + steps * 10 ** -decimals, literal);
}

/** The plain digits at the head of a number, without its unit. */
export function digitsOf(text: string): string {
  return /^[\d_]*\.?\d*(?:[eE][+-]?\d+)?/.exec(text)?.[0] ?? "";
}

const mmPer: Record<string, number> = { cm: 10, in: 25.4 };

/**
 * Where a measure lies on the sheet, given the first stretch of pieces of its
 * statement (for a turn, which draws none: the index of the piece that follows
 * it, twice). What a length measures is found by comparing it with the stretch:
 * a radius, its own length, its width or height, or a distance from an edge of
 * the page. Null if it measures nothing that is seen there.
 */
export function place(measure: Measure, second: boolean, line: Line, run: [number, number], mmPerPixel: number): Drawn | null {
  const from = run[0];
  const arc = arcFrom(line, run);
  const to = arc ? arc.to : run[1];
  const [a, b] = [line.point(from), line.point(to)];
  const circle = arc?.circle ?? null;
  if (measure.kind === "length") {
    const mm = measure.value * (mmPer[measure.unit] ?? 1);
    const is = (length: number): boolean => Math.abs(length - mm) <= 0.002 * Math.abs(mm) + 0.01;
    const beside = 16 * mmPerPixel;
    const unit = measure.unit || "mm";
    if (circle && is(circle.radius)) return new Dimension(circle.centre, b, measure.value, unit, 0);
    // Passes of a loop lie end to end in one stretch: the first piece alone may be it.
    for (const end of [line.point(from + 1), b]) {
      const length = Math.hypot(end[0] - a[0], end[1] - a[1]);
      if (is(length) || is(-length)) return new Dimension(a, end, measure.value, unit, beside);
    }
    const across: [boolean, Dimension][] = [
      [is(b[0] - a[0]), new Dimension([a[0], b[1]], b, measure.value, unit, beside)],
      [is(b[1] - a[1]), new Dimension([b[0], a[1]], b, measure.value, unit, beside)],
      [is(b[0]), new Dimension([0, b[1]], b, measure.value, unit, beside)],
      [is(b[1]), new Dimension([b[0], 0], b, measure.value, unit, beside)],
    ];
    // Of two numbers in one statement the second goes upward.
    const upward = (i: number): number => Number((i % 2 === 1) !== second);
    const fits = across.map(([fit, dimension], i) => ({ fit, dimension, i })).filter((c) => c.fit);
    fits.sort((p, q) => upward(p.i) - upward(q.i) || p.i - q.i);
    return fits[0]?.dimension ?? null;
  }
  if (measure.kind !== "angle") return null;
  const degrees = measure.unit === "rad" ? 180 / Math.PI : 1;
  const radius = 36 * mmPerPixel;
  if (run[1] > from) {
    // An arc: its angle stands at its centre.
    return circle && new Turn(circle.centre, direction(circle.centre, a), measure.value, degrees, Math.min(radius, circle.radius));
  }
  if (from >= line.pieces) {
    if (from === 0) return null;
    return new Turn(a, direction(line.point(from - 1), a), measure.value, degrees, radius);
  }
  return new Turn(a, direction(a, line.point(from + 1)) - measure.value * degrees, measure.value, degrees, radius);
}

/** The part at the head of a stretch that lies on one circle: three pieces or more. */
function arcFrom(line: Line, [from, to]: [number, number]): { circle: Circle; to: number } | null {
  if (to < from + 3) return null;
  const circle = circleThrough(line.point(from), line.point(from + 1), line.point(from + 2));
  if (!circle) return null;
  const { centre, radius } = circle;
  let end = from + 2;
  while (end < to) {
    const [x, y] = line.point(end + 1);
    if (Math.abs(Math.hypot(x - centre[0], y - centre[1]) - radius) > 0.02 * radius + 0.02) break;
    end++;
  }
  if (end < from + 3) return null;
  // From points far apart the circle comes out exactly.
  return { circle: circleThrough(line.point(from), line.point((from + end) >> 1), line.point(end)) ?? circle, to: end };
}

type Circle = { centre: [number, number]; radius: number };

function circleThrough(a: [number, number], b: [number, number], c: [number, number]): Circle | null {
  const d = 2 * (a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1]));
  if (Math.abs(d) < 1e-6) return null;
  const [qa, qb, qc] = [a, b, c].map(([x, y]) => x * x + y * y);
  const centre: [number, number] = [
    (qa * (b[1] - c[1]) + qb * (c[1] - a[1]) + qc * (a[1] - b[1])) / d,
    (qa * (c[0] - b[0]) + qb * (a[0] - c[0]) + qc * (b[0] - a[0])) / d,
  ];
  return { centre, radius: Math.hypot(a[0] - centre[0], a[1] - centre[1]) };
}
