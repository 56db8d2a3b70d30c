// The messages between the page and the engine. They are the same over the
// socket to the process and in the worker. Places in a text count UTF-16 code
// units; lengths are mm from the lower left of the page with y upward, times
// seconds, angles degrees.

export type Change = { from: number; to: number; insert: string };
export type Edit = { label: string; changes: Change[] };
export type Message = {
  severity: "error" | "warning" | "note";
  code: string;
  title: string;
  text: string;
  hint: string;
  from: number;
  to: number;
  line: number;
  column: number;
  edits: Edit[] | null;
  sheet?: number;
  place?: [number, number] | null;
};
export type Colour = [from: number, to: number, meaning: string];
export type Measure = {
  from: number;
  to: number;
  value: number;
  unit: string;
  kind: "length" | "angle" | "other";
  statement: number;
};
export type Checked = {
  type: "checked";
  id: number;
  messages: Message[] | null;
  colours: Colour[] | null;
  measures: Measure[] | null;
  seeds: [number, number][] | null;
};
export type SheetFacts = {
  lineMM: number;
  seconds: number;
  words: string;
};
export type Statement = { id: number; from: number; to: number; trail?: string[] | null };
export type PageSize = { width: number; height: number; margin: number; lineWidth: number };
export type Drawn = {
  type: "drawn";
  id: number;
  messages: Message[] | null;
  sheets: SheetFacts[] | null;
  page: PageSize;
  machine: string;
  statements: Statement[] | null;
  said: string[] | null;
};
export type Step = {
  from: number;
  to: number;
  piece: number;
  sheet: number;
  values: [name: string, value: string][] | null;
};
export type Steps = { type: "steps"; id: number; of: number; steps: Step[] | null };
export type Item = { label: string; insert: string; detail: string; sort: string };
export type Answer = {
  type: "answer";
  id: number;
  items?: Item[] | null;
  from?: number;
  to?: number;
  title?: string;
  body?: string[] | null;
  example?: string;
  changes?: Change[] | null;
  spans?: [number, number][] | null;
};
export type Word = { name: string; line: string; says: string; picture: [number, number][] | null; also: string[] | null };
export type Words = { type: "words"; groups: { title: string; words: Word[] | null }[] | null; none: Record<string, string> | null };
/**
 * The picture of a piece of the gallery: the data of an SVG path, in half mm from the
 * upper left of the page.
 */
export type Small = { type: "small"; id: number; path: string };
export type Failed = { type: "failed"; id: number; text: string; hint: string };
export type FileEntry = { path: string; kind: string; modified: string | number };
export type Piece = { name: string; title: string; kind: "piece" | "lesson"; tasks?: string[] };
/** Done are the tasks of the lessons that are done there: 3.2. */
export type Files = { type: "files"; folder: string; files: FileEntry[] | null; gallery: Piece[] | null; done?: string[] };
/**
 * Program is the number of the request as which it is being drawn already, if it is;
 * before is the text that is drawn so, if it is an earlier one.
 */
export type Opened = { type: "opened"; path: string; text: string; version: string | number; history?: unknown; program?: number; before?: string };
export type Saved = { type: "saved"; path: string; version: string | number };
export type Conflict = { type: "conflict"; path: string; theirs: string; version: string | number };
export type Changed = { type: "changed"; path: string; text: string; version: string | number };
/** A file that the program reads has changed. */
export type Used = { type: "used"; path: string };
export type History = { type: "history"; path: string; entries: unknown };
export type MachineState = {
  type: "machine";
  state: "none" | "connected" | "asking" | "armed" | "moving" | "held" | "stopped";
  name: string;
  certainty: "confirmed" | "assumed" | "lost";
  at: [number, number] | null;
  drawn: number;
  queued: number;
  of: number;
  seconds: number;
  held_by_other: boolean;
  /** What connecting opens unless another port is named. */
  port: string;
  /** The drawing that was cut off on this machine; its path is empty where this folder has it not. */
  unfinished: { name: string; path: string } | null;
};
/** How far a drawing that was cut off came; all are empty when that is over. */
export type Left = { type: "left"; drawn: [number, number][]; possible: [number, number][]; within: [number, number][] };
export type Say = {
  type: "say";
  text: string;
  kind: "caution" | "note" | "question";
  word: string | null;
};
/** A piece of the page of a lesson; what is of a program stands between backquotes. */
export type Block = { sort: "heading" | "text" | "item" | "guess"; text: string };
export type GuessAnswer = { text: string; right: boolean; picture: [number, number][] };
export type Guess = { ask: string; answers: GuessAnswer[]; told: string };
export type Dimension = { lines: [number, number][][]; words: string; at: [number, number] };
export type Sketch = { line: [number, number][]; dimensions: Dimension[] };
export type Task = {
  task: string;
  title: string;
  asks: string;
  /** Rows of an answer out of their order. */
  mixed: string[];
  hints: string[];
  /** The wanted drawing; null for one of the learner's own. */
  sketch: Sketch | null;
  measures: string;
};
export type Lesson = { type: "lesson"; id: number; number: number; title: string; page: Block[]; start: string; guess: Guess; tasks: Task[] };
export type CheckedTask = { task: string; solved: boolean; state: string; says: string; hint: string; line: number; at: [number, number] | null };
export type LessonChecked = { type: "lesson-checked"; id: number; tasks: CheckedTask[]; next: string };
export type Reply =
  | Checked
  | Drawn
  | { type: "progress"; id: number; done: number; of: number }
  | Answer
  | Steps
  | Words
  | Small
  | Lesson
  | LessonChecked
  | Failed
  | Files
  | Opened
  | Saved
  | Conflict
  | Changed
  | Used
  | History
  | MachineState
  | Left
  | Say;

export type Request = { type: string; id?: number; [field: string]: unknown };

/** What is in a binary message. */
export type Bytes =
  | { kind: "line"; id: number; sheet: number; from: number; points: Float32Array }
  | { kind: "pieces"; id: number; sheet: number; runs: Runs; seconds: Float32Array }
  | { kind: "as drawn"; id: number; sheet: number; points: Float32Array }
  | { kind: "variation"; id: number; seed: number; points: Float32Array }
  | { kind: "file"; id: number; content: Uint8Array; name: string };

/** Of each stretch of pieces that a statement drew: the piece behind its last, and the statement. */
export type Runs = { ends: number[]; statements: number[] };

/** Parts of a mm and of a second in which lines are told. */
const partsOfMM = 1 << 14;
const partsOfSecond = 1 << 12;

/** Reads a binary message; one that is cut short, or of which nothing is known, gives null. */
export function readBytes(buffer: ArrayBuffer): Bytes | null {
  if (buffer.byteLength < 16) return null;
  const [kind, id, sheet, n] = new Uint32Array(buffer, 0, 4);
  const bytes = new Uint8Array(buffer, 16);
  if (kind === 2) {
    if (bytes.length < n) return null;
    return { kind: "file", id, content: bytes.subarray(0, n), name: new TextDecoder().decode(bytes.subarray(n)) };
  }
  // Each number takes a byte at least, so what is promised here is no more than has come.
  if (bytes.length < n) return null;
  const numbers = new Numbers(bytes);
  let read: Bytes | null = null;
  if (kind === 0) read = { kind: "line", id, sheet, from: numbers.next(), points: points(numbers, n) };
  else if (kind === 1) read = { kind: "as drawn", id, sheet, points: points(numbers, n) };
  else if (kind === 3) read = { kind: "variation", id, seed: sheet, points: points(numbers, n) };
  else if (kind === 4) read = { kind: "pieces", id, sheet, runs: runs(numbers, n), seconds: seconds(numbers, n) };
  return numbers.cut ? null : read;
}

/** Whether a binary message is what is known of the pieces of a line: the last one of it. */
export function tellsOfPieces(buffer: ArrayBuffer): boolean {
  return buffer.byteLength >= 16 && new Uint32Array(buffer, 0, 1)[0] === 4;
}

/** Numbers in groups of seven bits, the lowest first, all but the last with the eighth bit set. */
class Numbers {
  private at = 0;

  constructor(private readonly bytes: Uint8Array) {}

  /** Whether more was read than there is. */
  get cut(): boolean {
    return this.at > this.bytes.length;
  }

  next(): number {
    const { bytes } = this;
    let byte = bytes[this.at++];
    if (byte < 128) return byte;
    let low = byte & 127;
    byte = bytes[this.at++];
    low |= (byte & 127) << 7;
    if (byte < 128) return low;
    byte = bytes[this.at++];
    low |= (byte & 127) << 14;
    if (byte < 128) return low;
    // What goes beyond 32 bits is seldom, and a sum of floats.
    let value = low;
    for (let one = 1 << 21; byte >= 128; one *= 128) {
      byte = bytes[this.at++];
      value += (byte & 127) * one;
    }
    return value;
  }

  /** Such a number that has a sign: 0, -1, 1, -2 are told as 0, 1, 2, 3. */
  signed(): number {
    const told = this.next();
    if (told < 0x80000000) return (told >>> 1) ^ -(told & 1);
    return told % 2 ? -(told + 1) / 2 : told / 2;
  }
}

/**
 * Points of n pieces: of the first where it lies, of each other one how far it is
 * from where its piece would end if it were like the piece before.
 */
function points(numbers: Numbers, n: number): Float32Array {
  const points = new Float32Array(2 * (n + 1));
  let x = numbers.signed();
  let y = numbers.signed();
  let dx = 0;
  let dy = 0;
  points[0] = x / partsOfMM;
  points[1] = y / partsOfMM;
  for (let i = 2; i < points.length; i += 2) {
    x += dx += numbers.signed();
    y += dy += numbers.signed();
    points[i] = x / partsOfMM;
    points[i + 1] = y / partsOfMM;
  }
  return points;
}

/** How many pieces each run has, and which statement drew it. */
function runs(numbers: Numbers, n: number): Runs {
  const ends: number[] = [];
  const statements: number[] = [];
  for (let end = 0; end < n && !numbers.cut; ) {
    end += numbers.next();
    ends.push(end);
    statements.push(numbers.next());
  }
  return { ends, statements };
}

/** When each piece ends, from how long each takes. */
function seconds(numbers: Numbers, n: number): Float32Array {
  const seconds = new Float32Array(n);
  let at = 0;
  for (let i = 0; i < n; i++) seconds[i] = (at += numbers.next()) / partsOfSecond;
  return seconds;
}
