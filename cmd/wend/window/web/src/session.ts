import type { Carrier } from "./carrier.ts";
import { Arriving, type Line } from "./line.ts";
import type { Answer, Bytes, Checked, Drawn, Lesson, LessonChecked, Reply, Request, Small, Steps, Words } from "./messages.ts";

/** What the engine made of a program, or of an earlier text of it than the page began with: facts and the line of each sheet. */
export type Picture = { facts: Drawn; lines: Line[]; path: string; text: string; earlier: boolean };

export type SessionHooks = {
  checked(checked: Checked): void;
  /** Of the line of a sheet so many pieces are there, of which those from a certain one on have just come. */
  arrives(sheet: number, points: Float32Array, from: number, pieces: number): void;
  /** A program that draws. */
  pictured(picture: Picture): void;
  /** A program that does not: the picture before it stays. */
  failed(drawn: Drawn): void;
  progress(done: number, of: number): void;
  said(text: string, hint: string, id: number): void;
};

/** The page's half of the conversation with the engine. */
export class Session {
  /** The number of the newest program; answers about older ones place nothing in the text. */
  newest = 0;
  checked: Checked | null = null;
  picture: Picture | null = null;

  private last = 1; // the first is that of the program that the window begins with
  private begins: { path: string; text: string } | null = null;
  private readonly texts = new Map<number, { path: string; text: string; earlier: boolean }>();
  private incoming: { id: number; arriving: Arriving[]; lines: Line[] } = { id: 0, arriving: [], lines: [] };
  private readonly waiting = new Map<number, (reply: Reply | Bytes | null) => void>();
  private stepsBefore: Promise<unknown> = Promise.resolve();
  private smallBefore: Promise<unknown> = Promise.resolve();
  private readonly smalls = new Map<string, string>();
  /** Requests that end without an answer when a newer text comes. */
  private readonly superseded = new Set<number>();
  private variation: { id: number; each: (seed: number, points: Float32Array) => void } | null = null;
  private words: ((words: Words) => void)[] = [];
  private wordsKept: Words | null = null;

  constructor(
    private readonly carrier: () => Carrier,
    private readonly hooks: SessionHooks,
  ) {}

  /** The program that the window begins with is being drawn, or an earlier text of it, as request 1. */
  begun(path: string, text: string, before?: string): void {
    this.newest = 1;
    this.texts.set(1, { path, text: before ?? text, earlier: before !== undefined });
    if (before === undefined) this.begins = { path, text };
  }

  /** Another program is shown: the picture of the one before is none of it. True if there was one. */
  another(path: string, renamed: boolean): boolean {
    const { picture } = this;
    if (!picture || picture.path === path) return false;
    if (renamed) picture.path = path;
    else this.picture = null;
    return !renamed;
  }

  /** Has the whole text checked and drawn; what still runs is given up. */
  program(path: string, text: string, quiet = false): void {
    const begun = this.begins;
    this.begins = null;
    if (begun && begun.path === path && begun.text === text) return; // it is on its way
    const id = (this.newest = ++this.last);
    for (const old of this.superseded) this.answer(old, null);
    this.texts.set(id, { path, text, earlier: false });
    for (const old of this.texts.keys()) if (old < id - 20) this.texts.delete(old);
    this.carrier().send({ type: "program", id, path, text, quiet });
  }

  async ask(what: string, path: string, text: string, at: number, name?: string): Promise<Answer | null> {
    return (await this.request({ type: "ask", what, path, text, at, name })) as Answer | null;
  }

  /** The way by which the program came to a piece of what was drawn last, outermost first. */
  async trail(path: string, sheet: number, piece: number): Promise<string[]> {
    const answer = (await this.request({ type: "ask", what: "trail", path, text: "", sheet, piece })) as Answer | null;
    return answer?.body ?? [];
  }

  async steps(path: string, text: string, from: number, count: number): Promise<Steps | null> {
    // One at a time: a newer request of this type would end the one before.
    const answer = this.stepsBefore.then(() => this.request({ type: "steps", path, text, from, count }));
    this.stepsBefore = answer;
    return (await answer) as Steps | null;
  }

  async asDrawn(enlarged: number): Promise<Float32Array | null> {
    const bytes = (await this.request({ type: "as-drawn", enlarged })) as Bytes | null;
    return bytes && bytes.kind === "as drawn" ? bytes.points : null;
  }

  async export(kind: string, path: string, text: string): Promise<{ content: Uint8Array; name: string } | null> {
    const bytes = (await this.request({ type: "export", kind, path, text })) as Bytes | null;
    return bytes && bytes.kind === "file" ? bytes : null;
  }

  variations(path: string, text: string, seeds: number[], each: (seed: number, points: Float32Array) => void): void {
    const id = ++this.last;
    this.variation = { id, each };
    this.carrier().send({ type: "variations", id, path, text, seeds });
  }

  async lesson(number: number): Promise<Lesson | null> {
    return (await this.request({ type: "lesson", lesson: number })) as Lesson | null;
  }

  /** Holds a text against the tasks of a lesson. */
  async lessonCheck(lesson: number, path: string, text: string, done: string[]): Promise<LessonChecked | null> {
    return (await this.request({ type: "lesson-check", lesson, path, text, done })) as LessonChecked | null;
  }

  /** The small picture of a piece of the gallery, if somebody still wants it when it is its turn; empty for none. */
  async small(name: string, wanted: () => boolean): Promise<string> {
    const turn = this.smallBefore.then(async () => {
      if (this.smalls.has(name) || !wanted()) return;
      const answer = (await this.request({ type: "small", name })) as Small | null;
      if (answer) this.smalls.set(name, answer.path);
    });
    this.smallBefore = turn;
    await turn;
    return this.smalls.get(name) ?? "";
  }

  wordCard(then: (words: Words) => void): void {
    if (this.wordsKept) {
      then(this.wordsKept);
      return;
    }
    this.words.push(then);
    this.carrier().send({ type: "words" });
  }

  /** Requests that will never be answered, since the way to the engine broke. */
  giveUp(): void {
    for (const answer of this.waiting.values()) answer(null);
    this.waiting.clear();
    this.superseded.clear();
  }

  /** Takes a reply that is about programs; false if it is about something else. */
  reply(m: Reply): boolean {
    switch (m.type) {
      case "checked":
        if (m.id !== this.newest) return true;
        this.checked = m;
        this.hooks.checked(m);
        return true;
      case "drawn": {
        const of = this.texts.get(m.id) ?? { path: "", text: "", earlier: false };
        if (m.id < (this.picture?.facts.id ?? 0) || of.path !== this.texts.get(this.newest)?.path) return true;
        const lines = this.incoming.id === m.id ? this.incoming.lines : [];
        if (m.sheets?.length && lines.length >= m.sheets.length) {
          this.picture = { facts: m, lines, ...of };
          this.hooks.pictured(this.picture);
        } else if (m.id === this.newest) {
          this.hooks.failed(m);
        }
        return true;
      }
      case "progress":
        if (m.id === this.newest) this.hooks.progress(m.done, m.of);
        return true;
      case "answer":
      case "steps":
      case "small":
      case "lesson":
      case "lesson-checked":
        this.answer(m.id, m);
        return true;
      case "words":
        this.wordsKept = m;
        for (const then of this.words.splice(0)) then(m);
        return true;
      case "failed":
        this.answer(m.id, null);
        this.hooks.said(m.text, m.hint, m.id);
        return true;
      default:
        return false;
    }
  }

  bytes(b: Bytes): void {
    switch (b.kind) {
      case "line": {
        if (b.id !== this.incoming.id) this.incoming = { id: b.id, arriving: [], lines: [] };
        const arriving = (this.incoming.arriving[b.sheet] ??= new Arriving(this.picture?.lines[b.sheet]));
        if (arriving.add(b.from, b.points) && b.id === this.newest) this.hooks.arrives(b.sheet, arriving.points, b.from, arriving.pieces);
        return;
      }
      case "pieces": {
        const line = b.id === this.incoming.id ? this.incoming.arriving[b.sheet]?.line(b.seconds, b.runs) : null;
        if (line) this.incoming.lines[b.sheet] = line;
        return;
      }
      case "variation":
        if (this.variation?.id === b.id) this.variation.each(b.seed, b.points);
        return;
      default:
        this.answer(b.id, b);
    }
  }

  private request(request: Request): Promise<Reply | Bytes | null> {
    const id = ++this.last;
    return new Promise((resolve) => {
      this.waiting.set(id, resolve);
      if (request.type === "steps" || request.type === "as-drawn") this.superseded.add(id);
      this.carrier().send({ ...request, id });
    });
  }

  private answer(id: number, reply: Reply | Bytes | null): void {
    this.waiting.get(id)?.(reply);
    this.waiting.delete(id);
    this.superseded.delete(id);
  }
}
