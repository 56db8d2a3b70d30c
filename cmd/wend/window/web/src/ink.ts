/** Where the sheet lies on its pixels: x = left + k·mm, y = bottom - k·mm. */
export type Frame = { readonly k: number; readonly left: number; readonly bottom: number };

/** How far a line that is drawn may be from the true one, px. */
const tolerance = 0.12;

/**
 * Calls a function with each of a few points, in pixels, whose line is nowhere
 * farther than the tolerance from that of the points from..to. What follows a
 * point may be left out as long as one straight line from it passes by all of
 * them: each narrows the sector of directions that do. A line that turns back
 * by more than the tolerance keeps its turning point.
 */
export function thinned(p: Float32Array, from: number, to: number, frame: Frame, point: (x: number, y: number) => void): void {
  const { k, left, bottom } = frame;
  let ax = left + p[2 * from] * k;
  let ay = bottom - p[2 * from + 1] * k;
  point(ax, ay);
  let lastX = ax;
  let lastY = ay;
  let far = 0; // the farthest of those left out, px
  // The sector's sides as unnormalised vectors, the right one first; far = 0 is no sector.
  let rx = 0;
  let ry = 0;
  let lx = 0;
  let ly = 0;
  for (let i = from + 1; i <= to; i++) {
    const x = left + p[2 * i] * k;
    const y = bottom - p[2 * i + 1] * k;
    let dx = x - ax;
    let dy = y - ay;
    let d = Math.sqrt(dx * dx + dy * dy);
    const passes = far === 0 || (d >= far - tolerance && rx * dy - ry * dx >= 0 && lx * dy - ly * dx <= 0);
    if (!passes) {
      ax = lastX;
      ay = lastY;
      point(ax, ay);
      far = 0;
      dx = x - ax;
      dy = y - ay;
      d = Math.sqrt(dx * dx + dy * dy);
    }
    if (d > tolerance) {
      const sine = tolerance / d;
      const cosine = Math.sqrt(1 - sine * sine);
      const rightX = dx * cosine + dy * sine;
      const rightY = dy * cosine - dx * sine;
      const leftX = dx * cosine - dy * sine;
      const leftY = dy * cosine + dx * sine;
      if (far === 0 || rx * rightY - ry * rightX > 0) {
        rx = rightX;
        ry = rightY;
      }
      if (far === 0 || lx * leftY - ly * leftX < 0) {
        lx = leftX;
        ly = leftY;
      }
      if (d > far) far = d;
    }
    lastX = x;
    lastY = y;
  }
  point(lastX, lastY);
}

/**
 * The ink of a line on the pixels of a sheet: of each pixel, how much of it a
 * round point that was led along the line covers. Line over line is no darker,
 * and the cost is that of the pixels, however often the line crosses itself.
 */
export class Ink {
  private readonly image: ImageData;
  private readonly cover: Uint8ClampedArray; // of the image: every fourth byte, from the third on
  private readonly bare: Uint32Array; // its pixels as words
  private readonly nothing: number; // such a word without ink
  private readonly full: number;
  /** What is covered, and what was covered or cleared since it was shown last. */
  private readonly inked = new Box();
  private readonly fresh = new Box();

  /** Ink of a colour, as a canvas names it, and an opacity. */
  constructor(width: number, height: number, colour: string, opacity = 1) {
    this.image = new ImageData(width, height);
    this.cover = this.image.data;
    this.bare = new Uint32Array(this.cover.buffer);
    this.nothing = wordOf(colour);
    this.full = Math.round(255 * opacity);
    this.bare.fill(this.nothing);
  }

  clear(): void {
    const { left, top, right, bottom } = this.inked;
    for (let y = top; y < bottom; y++) this.bare.fill(this.nothing, y * this.image.width + left, y * this.image.width + right);
    this.fresh.join(this.inked);
    this.inked.empty();
  }

  /** Adds the pieces between the points from..to of a line, width px wide. */
  add(p: Float32Array, from: number, to: number, frame: Frame, width: number): void {
    let ax = NaN;
    let ay = NaN;
    const radius = width / 2;
    thinned(p, from, to, frame, (x, y) => {
      if (ax === ax) this.capsule(ax, ay, x, y, radius);
      ax = x;
      ay = y;
    });
  }

  /** Puts what has changed on a canvas of the same size; with another one's ink before, that goes. */
  show(ctx: CanvasRenderingContext2D, before: Ink | null = null): void {
    const { fresh } = this;
    if (before) {
      fresh.join(this.inked);
      fresh.join(before.inked);
    }
    if (fresh.right > fresh.left) ctx.putImageData(this.image, 0, 0, fresh.left, fresh.top, fresh.right - fresh.left, fresh.bottom - fresh.top);
    fresh.empty();
  }

  private capsule(ax: number, ay: number, bx: number, by: number, radius: number): void {
    const reach = radius + 0.5;
    const { width, height } = this.image;
    const top = Math.max(0, Math.floor(Math.min(ay, by) - reach));
    const bottom = Math.min(height - 1, Math.floor(Math.max(ay, by) + reach));
    const leftmost = Math.max(0, Math.floor(Math.min(ax, bx) - reach));
    const rightmost = Math.min(width - 1, Math.floor(Math.max(ax, bx) + reach));
    if (top > bottom || leftmost > rightmost) return;
    this.inked.add(leftmost, top, rightmost + 1, bottom + 1);
    this.fresh.add(leftmost, top, rightmost + 1, bottom + 1);
    const dx = bx - ax;
    const dy = by - ay;
    const square = dx * dx + dy * dy;
    const inverse = square > 0 ? 1 / square : 0;
    const outer = reach * reach;
    const core = Math.max(0, radius - 0.5);
    const inner = core * core;
    const { cover, full } = this;
    for (let row = top; row <= bottom; row++) {
      const py = row + 0.5 - ay;
      // Only the stretch of the segment that comes near this row counts.
      let t0 = 0;
      let t1 = 1;
      if (dy !== 0) {
        t0 = (py - reach) / dy;
        t1 = (py + reach) / dy;
        t0 = t0 < 0 ? 0 : t0 > 1 ? 1 : t0; // which of the two is less hangs on the way up or down
        t1 = t1 < 0 ? 0 : t1 > 1 ? 1 : t1;
      }
      const x0 = ax + t0 * dx;
      const x1 = ax + t1 * dx;
      const from = Math.max(leftmost, Math.floor(Math.min(x0, x1) - reach));
      const to = Math.min(rightmost, Math.floor(Math.max(x0, x1) + reach));
      const line = row * width;
      for (let column = from; column <= to; column++) {
        const at = 4 * (line + column) + 3;
        const before = cover[at];
        if (before === full) continue;
        const px = column + 0.5 - ax;
        let t = (px * dx + py * dy) * inverse;
        t = t < 0 ? 0 : t > 1 ? 1 : t;
        const ex = px - t * dx;
        const ey = py - t * dy;
        const distance = ex * ex + ey * ey;
        if (distance >= outer) continue;
        const c = distance <= inner ? full : Math.min(full, full * (reach - Math.sqrt(distance)));
        if (c > before) cover[at] = c;
      }
    }
  }
}

/** A rectangle of pixels; empty where right ≤ left. */
class Box {
  left = Infinity;
  top = Infinity;
  right = 0;
  bottom = 0;

  empty(): void {
    this.left = this.top = Infinity;
    this.right = this.bottom = 0;
  }

  add(left: number, top: number, right: number, bottom: number): void {
    if (left < this.left) this.left = left;
    if (top < this.top) this.top = top;
    if (right > this.right) this.right = right;
    if (bottom > this.bottom) this.bottom = bottom;
  }

  join(other: Box): void {
    this.add(other.left, other.top, other.right, other.bottom);
  }
}

/** A colour as the pixels of a picture keep it, without its opacity. */
function wordOf(colour: string): number {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 1;
  const ctx = canvas.getContext("2d")!;
  ctx.fillStyle = colour;
  ctx.fillRect(0, 0, 1, 1);
  const word = new Uint8Array(ctx.getImageData(0, 0, 1, 1).data);
  word[3] = 0;
  return new Uint32Array(word.buffer)[0];
}
