import type { Runs } from "./messages.ts";

/**
 * The line of one sheet: n pieces between n + 1 points, with the statement that
 * drew each and the second at which each ends.
 */
export class Line {
  private alongMM: Float64Array | null = null;
  private grid: Grid | null = null;
  private runs: Map<number, [from: number, to: number][]> | null = null;

  constructor(
    readonly points: Float32Array,
    readonly seconds: Float32Array,
    private readonly drawn: Runs,
  ) {}

  get pieces(): number {
    return this.seconds.length;
  }

  get duration(): number {
    return this.pieces ? this.seconds[this.pieces - 1] : 0;
  }

  point(i: number): [number, number] {
    return [this.points[2 * i], this.points[2 * i + 1]];
  }

  /** The number of pieces that are complete after so many seconds. */
  piecesAt(seconds: number): number {
    let low = 0;
    let high = this.pieces;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.seconds[middle] <= seconds) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Where the stylus is after so many seconds, and how much line it has made, in mm. */
  at(seconds: number): { place: [number, number]; piece: number; mm: number } {
    const along = this.along();
    const piece = this.piecesAt(seconds);
    if (piece >= this.pieces) return { place: this.point(this.pieces), piece: Math.max(0, this.pieces - 1), mm: along[this.pieces] };
    const begun = piece ? this.seconds[piece - 1] : 0;
    const part = this.seconds[piece] > begun ? Math.max(0, (seconds - begun) / (this.seconds[piece] - begun)) : 1;
    const [ax, ay] = this.point(piece);
    const [bx, by] = this.point(piece + 1);
    return {
      place: [ax + (bx - ax) * part, ay + (by - ay) * part],
      piece,
      mm: along[piece] + (along[piece + 1] - along[piece]) * part,
    };
  }

  /** The statement that drew a piece. */
  statement(piece: number): number {
    const { ends, statements } = this.drawn;
    let low = 0;
    let high = ends.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (ends[middle] <= piece) low = middle + 1;
      else high = middle;
    }
    return statements[low];
  }

  /** The stretches of pieces that a statement drew. */
  runsOf(statement: number): [from: number, to: number][] {
    if (!this.runs) {
      this.runs = new Map();
      let from = 0;
      for (const [i, to] of this.drawn.ends.entries()) {
        const of = this.drawn.statements[i];
        const list = this.runs.get(of);
        // A statement that draws on has one stretch, however it was told.
        if (list && list[list.length - 1][1] === from) list[list.length - 1][1] = to;
        else if (list) list.push([from, to]);
        else this.runs.set(of, [[from, to]]);
        from = to;
      }
    }
    return this.runs.get(statement) ?? [];
  }

  /** The piece nearest to a place, the later one of two on each other; -1 if none is within reach mm. */
  nearest(x: number, y: number, reach: number): number {
    this.grid ??= new Grid(this.points);
    return this.grid.nearest(x, y, reach);
  }

  private along(): Float64Array {
    if (!this.alongMM) {
      const p = this.points;
      const along = new Float64Array(this.pieces + 1);
      for (let i = 0; i < this.pieces; i++) {
        along[i + 1] = along[i] + Math.hypot(p[2 * i + 2] - p[2 * i], p[2 * i + 3] - p[2 * i + 1]);
      }
      this.alongMM = along;
    }
    return this.alongMM;
  }
}

/** The line of a sheet of which parts still come, in their order. */
export class Arriving {
  /** Those of the pieces that are there, and room for more. */
  points: Float32Array;
  pieces = 0;

  /** A line that may well have as many pieces as another one. */
  constructor(like: Line | undefined) {
    this.points = new Float32Array(2 * ((like?.pieces ?? 0) + 1));
  }

  /** Takes the points of the pieces from a certain one on; false if those before are not there. */
  add(from: number, points: Float32Array): boolean {
    if (from !== this.pieces) return false;
    const end = 2 * from + points.length;
    if (end > this.points.length) {
      const larger = new Float32Array(from ? 2 * end : end);
      larger.set(this.points.subarray(0, 2 * from));
      this.points = larger;
    }
    this.points.set(points, 2 * from);
    this.pieces = end / 2 - 1;
    return true;
  }

  /** The whole line; null if it is not that of so many pieces. */
  line(seconds: Float32Array, drawn: Runs): Line | null {
    if (this.pieces !== seconds.length) return null;
    const used = 2 * (this.pieces + 1);
    // Much more room than is used is not kept.
    return new Line(3 * used < this.points.length ? this.points.slice(0, used) : this.points.subarray(0, used), seconds, drawn);
  }
}

/**
 * Pieces by the squares that they pass, so that pointing at one of a hundred
 * thousand costs as little as at one of ten. Each piece is listed in the
 * squares of points laid along it half a square apart, and a search looks one
 * square further than its reach.
 */
class Grid {
  private readonly left: number;
  private readonly bottom: number;
  private readonly side: number;
  private readonly columns: number;
  private readonly rows: number;
  private readonly starts: Uint32Array;
  private readonly listed: Uint32Array;

  constructor(private readonly p: Float32Array) {
    let left = Infinity;
    let bottom = Infinity;
    let right = -Infinity;
    let top = -Infinity;
    for (let i = 0; i < p.length; i += 2) {
      left = Math.min(left, p[i]);
      right = Math.max(right, p[i]);
      bottom = Math.min(bottom, p[i + 1]);
      top = Math.max(top, p[i + 1]);
    }
    this.left = left;
    this.bottom = bottom;
    this.side = Math.max(0.5, Math.max(right - left, top - bottom) / 200);
    this.columns = Math.floor((right - left) / this.side) + 1;
    this.rows = Math.floor((top - bottom) / this.side) + 1;
    const counts = new Uint32Array(this.columns * this.rows + 1);
    this.visit((square) => counts[square + 1]++);
    for (let i = 1; i < counts.length; i++) counts[i] += counts[i - 1];
    this.starts = counts.slice();
    this.listed = new Uint32Array(counts[counts.length - 1]);
    const next = counts;
    this.visit((square, piece) => (this.listed[next[square]++] = piece));
  }

  nearest(x: number, y: number, reach: number): number {
    const around = Math.ceil(reach / this.side) + 1;
    const column = Math.floor((x - this.left) / this.side);
    const row = Math.floor((y - this.bottom) / this.side);
    let best = -1;
    let bestDistance = reach;
    for (let r = Math.max(0, row - around); r <= Math.min(this.rows - 1, row + around); r++) {
      for (let c = Math.max(0, column - around); c <= Math.min(this.columns - 1, column + around); c++) {
        const square = r * this.columns + c;
        for (let k = this.starts[square]; k < this.starts[square + 1]; k++) {
          const piece = this.listed[k];
          const d = this.distance(piece, x, y);
          if (d < bestDistance - 1e-4 || (d <= bestDistance + 1e-4 && piece > best)) {
            best = piece;
            bestDistance = Math.min(d, bestDistance);
          }
        }
      }
    }
    return best;
  }

  private visit(list: (square: number, piece: number) => void): void {
    const p = this.p;
    for (let i = 0; 2 * i + 3 < p.length; i++) {
      const dx = p[2 * i + 2] - p[2 * i];
      const dy = p[2 * i + 3] - p[2 * i + 1];
      const steps = Math.max(1, Math.ceil(Math.max(Math.abs(dx), Math.abs(dy)) / (this.side / 2)));
      let last = -1;
      for (let k = 0; k <= steps; k++) {
        const c = Math.floor((p[2 * i] + (dx * k) / steps - this.left) / this.side);
        const r = Math.floor((p[2 * i + 1] + (dy * k) / steps - this.bottom) / this.side);
        const square = Math.min(r, this.rows - 1) * this.columns + Math.min(c, this.columns - 1);
        if (square !== last) list(square, i);
        last = square;
      }
    }
  }

  private distance(piece: number, x: number, y: number): number {
    const p = this.p;
    const ax = p[2 * piece];
    const ay = p[2 * piece + 1];
    const dx = p[2 * piece + 2] - ax;
    const dy = p[2 * piece + 3] - ay;
    const square = dx * dx + dy * dy;
    const t = square > 0 ? Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square)) : 0;
    return Math.hypot(x - ax - t * dx, y - ay - t * dy);
  }
}
