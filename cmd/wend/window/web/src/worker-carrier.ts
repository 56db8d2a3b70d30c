import type { Begin, Carrier, Receiver } from "./carrier.ts";
import { Kept, type Answers, type KeptPicture } from "./kept.ts";
import type { FileEntry, Opened, Piece, Reply, Request } from "./messages.ts";
import { readBytes, tellsOfPieces } from "./messages.ts";

/** One engine in a worker of its own. */
type Engine = { worker: Worker; ready: boolean };

/** The number of the request that draws what a window begins with. */
const firstRequest = 1;

/** An evaluation that takes longer is given up, s. */
const limitSeconds = 30;
/** A picture is kept when nothing was drawn for so long, ms. */
const keepAfterMS = 1000;

/** An evaluation that still runs after so long when the next comes is given up, ms. */
const patienceMS = 120;

/**
 * The engine as WebAssembly in a worker, for a site that any file server
 * offers. The only way to stop a computation there is to end its worker; once
 * the first has compiled the engine, a second one stands by with it, so that
 * nobody waits for it to start. Programs lie in
 * the browser's storage; where that fails it is said, and the file is offered
 * to be kept elsewhere.
 */
export class WorkerCarrier implements Carrier {
  readonly machines = false;
  private engine: Engine;
  private spare: Engine | null = null;
  private compiled: WebAssembly.Module | null = null;
  /** Whether the page need not hear any more that the engine is there. */
  private told: boolean;
  /** What the page has heard already of the first program, before the engine has said it; null for nothing. */
  private foretold: Answers | null = null;
  /** What the engine says of the program that runs, and said of the one that it drew last. */
  private says: Answers = [];
  private drawn: { path: string; picture: KeptPicture } | null = null;
  private keepTimer = 0;
  private readonly kept = new Kept();
  private queue: Request[] = [];
  private running: { request: Request; since: number; timer: number } | null = null;
  private readonly shelf = new Shelf();

  constructor(
    private readonly receiver: Receiver,
    begin: () => Begin | null,
    private readonly keepElsewhere: (name: string, text: string) => void,
  ) {
    const given = begin();
    this.told = given !== null; // then its program is on its way
    this.engine = this.start();
    if (given) void this.begin(given);
    addEventListener("pagehide", () => this.keepPicture());
    addEventListener("visibilitychange", () => document.hidden && this.keepPicture());
  }

  send(request: Request): void {
    if (this.keep(request)) return;
    if (request.type === "program") this.queue = this.queue.filter((q) => q.type !== "program");
    this.queue.push(request);
    if (request.type === "program" && this.running) {
      const wait = Math.max(0, patienceMS - (performance.now() - this.running.since));
      const held = this.running;
      setTimeout(() => this.running === held && this.replace(), wait);
    }
    this.next();
  }

  private start(): Engine {
    const worker = new Worker(new URL("worker.js", document.baseURI), { type: "module" });
    const engine: Engine = { worker, ready: false };
    worker.postMessage({ compiled: this.compiled });
    worker.onmessage = ({ data }) => {
      if (data?.type === "ready") this.ready(engine, data.compiled as WebAssembly.Module);
      else if (data?.type === "done") this.done(engine);
      else if (data?.type === "unready") this.unready(engine);
      else if (engine === this.engine) this.take(data);
    };
    worker.onerror = () => this.unready(engine);
    return engine;
  }

  private ready(engine: Engine, compiled: WebAssembly.Module): void {
    engine.ready = true;
    this.compiled = compiled;
    if (engine !== this.engine) return;
    if (!this.told) this.receiver.state("open");
    this.told = true;
    this.next();
  }

  private unready(engine: Engine): void {
    if (engine === this.engine) this.receiver.state("closed");
    else if (engine === this.spare) this.spare = null;
  }

  private take(data: string | ArrayBuffer): void {
    if (this.running?.request.type === "program") {
      this.says.push(data);
      if (this.foretold && this.running.request.id === firstRequest) return; // until it is known whether it is the same
    }
    this.tell(data);
  }

  /** Gives the page an answer. */
  private tell(data: string | ArrayBuffer): void {
    if (typeof data === "string") {
      this.receiver.reply(JSON.parse(data) as Reply);
      return;
    }
    const bytes = readBytes(data);
    if (bytes) this.receiver.bytes(bytes);
  }

  /**
   * Shows somebody who comes for the first time a drawing, as the engine made it when
   * the site was written; the engine makes it once more when it is there, so that it
   * knows what is asked about. The name of the drawing; empty if there is none.
   */
  private async first(): Promise<string> {
    const answer = await fetch(new URL("first.bin", document.baseURI)).catch(() => null);
    if (!answer?.ok) return "";
    const all = await answer.arrayBuffer().catch(() => new ArrayBuffer(0));
    const view = new DataView(all);
    // What came cut short, or is another file, is as if there were none.
    const messages: Answers = [];
    let opened: Opened;
    try {
      for (let at = 0; at < all.byteLength; ) {
        const text = view.getUint32(at, true) === 1;
        const end = at + 8 + view.getUint32(at + 4, true);
        if (end > all.byteLength) return "";
        const message = all.slice(at + 8, end);
        messages.push(text ? new TextDecoder().decode(message) : message);
        at = end;
      }
      opened = JSON.parse(messages.shift() as string) as Opened;
      if (opened.type !== "opened") return "";
    } catch {
      return "";
    }
    this.store(opened.path, opened.text);
    this.receiver.reply(opened);
    this.foretell(messages);
    return opened.path;
  }

  /** Tells the page what the engine would say of the first program. */
  private foretell(messages: Answers): void {
    for (const message of messages) this.tell(message);
    this.foretold = messages;
  }

  /**
   * Opens a program of this browser with the picture that is kept of it. One of an
   * earlier text is shown as that until the engine is there. The text to be drawn as
   * the first request; null if the page will ask for it itself.
   */
  private async come(path: string): Promise<string | null> {
    const opened = { ...this.opened(path), program: firstRequest };
    const kept = await this.kept.read(path);
    if (!kept) {
      this.receiver.reply(opened);
      return opened.text;
    }
    if (kept.text === opened.text) {
      this.receiver.reply(opened);
      this.foretell(kept.messages);
      return opened.text;
    }
    this.receiver.reply({ ...opened, before: kept.text });
    for (const message of kept.messages) {
      const reply = typeof message === "string" ? (JSON.parse(message) as Reply) : null;
      // What was said of places in that text is not of this one.
      if (reply?.type === "drawn") this.receiver.reply({ ...reply, messages: [] });
      else if (!reply) this.tell(message);
    }
    return null;
  }

  /** Keeps the picture that was drawn last with its program. */
  private keepPicture(): void {
    clearTimeout(this.keepTimer);
    if (!this.drawn) return;
    const { path, picture } = this.drawn;
    this.drawn = null;
    this.kept.write(path, { text: picture.text, messages: numbered(picture.messages) });
  }

  /** A program was drawn, or was not: then the picture before it stays. */
  private ended(request: Request): void {
    const messages = this.says;
    this.says = [];
    if (this.foretold && request.id === firstRequest) {
      const told = numbered(this.foretold);
      this.foretold = null;
      // Where it is other, what the page has heard is of another release of the engine.
      if (!same(told, numbered(messages))) this.receiver.state("open");
    }
    if (!messages.some((m) => typeof m !== "string" && tellsOfPieces(m))) return; // there is no picture
    this.drawn = { path: String(request.path), picture: { text: String(request.text), messages } };
    clearTimeout(this.keepTimer);
    this.keepTimer = window.setTimeout(() => this.keepPicture(), keepAfterMS);
  }

  private next(): void {
    if (this.running || !this.engine.ready || !this.queue.length) return;
    const request = this.queue.shift()!;
    const timer = window.setTimeout(() => {
      this.receiver.reply({ type: "failed", id: request.id ?? 0, text: `This took longer than ${limitSeconds} s and was given up.`, hint: "Fewer passes, or a coarser step, make it lighter." });
      this.replace();
    }, limitSeconds * 1000);
    this.running = { request, since: performance.now(), timer };
    this.says = [];
    this.engine.worker.postMessage(JSON.stringify(request));
  }

  private done(engine: Engine): void {
    if (engine !== this.engine || !this.running) return;
    const { request, timer } = this.running;
    clearTimeout(timer);
    this.running = null;
    if (request.type === "program") this.ended(request);
    this.next();
    this.spare ??= this.start();
  }

  /** Ends what runs; the one that stood by goes on. */
  private replace(): void {
    if (this.running) clearTimeout(this.running.timer);
    const given = this.running?.request;
    this.running = null;
    this.engine.worker.terminate();
    this.engine = this.spare ?? this.start();
    this.spare = this.start();
    // Only programs and variations are superseded; a question is asked again once.
    if (given && given.type !== "program" && given.type !== "variations" && given.again !== true) this.queue.push({ ...given, again: true });
    this.next();
  }

  /** What is about files is answered here. */
  private keep(request: Request): boolean {
    const answer = (reply: Reply): void => queueMicrotask(() => this.receiver.reply(reply));
    const path = String(request.path ?? "");
    switch (request.type) {
      case "files":
        void this.shelf.site().then(({ pieces }) => answer({ type: "files", folder: "this browser", files: this.shelf.list(), gallery: pieces.map(({ name, title, kind, tasks }) => ({ name, title, kind, tasks })), done: this.shelf.done() }));
        return true;
      case "done":
        if (!this.shelf.keepDone(request.tasks as string[])) {
          answer({ type: "failed", id: 0, text: "This browser keeps nothing (a private window, or its store is full): what is done is forgotten when it is closed.", hint: "" });
        }
        this.send({ type: "files" });
        return true;
      case "open":
        if (request.piece !== undefined) {
          void this.copied(String(request.piece)).then((name) => {
            answer(this.opened(name));
            this.send({ type: "files" });
          });
        } else answer(this.opened(path));
        return true;
      case "small":
        void this.shelf.small(String(request.name)).then((data) => answer({ type: "small", id: request.id ?? 0, path: data }));
        return true;
      case "save":
        this.store(path, String(request.text));
        answer({ type: "saved", path, version: "" });
        return true;
      case "new":
        void this.shelf.site().then(({ first }) => {
          this.store(path, first);
          answer(this.opened(path));
          this.send({ type: "files" });
        });
        return true;
      case "rename": {
        const to = String(request.to);
        const text = this.shelf.read(path) ?? "";
        if (this.shelf.read(to) !== null) {
          answer({ type: "failed", id: 0, text: `${to} is there already; nothing was changed.`, hint: "Another name can be given." });
          return true;
        }
        this.store(to, text);
        this.shelf.remove(path);
        this.keepPicture();
        this.kept.remove(path);
        answer({ type: "opened", path: to, text, version: "" });
        this.send({ type: "files" });
        return true;
      }
      case "history":
        this.shelf.keepHistory(path, request.entries);
        return true;
      default:
        return false;
    }
  }

  /** What the window begins with; somebody who comes for the first time is shown a drawing. */
  private async begin(begin: Begin): Promise<void> {
    const named = begin.piece !== "" && (await this.shelf.site()).pieces.some(({ name }) => name === begin.piece);
    const own = this.shelf.list();
    const before = [begin.path, this.shelf.last].find((path) => own.some((file) => file.path === path));
    let path = named ? await this.copied(begin.piece) : (before ?? own[0]?.path ?? "");
    let text: string | null = null;
    if (path) text = await this.come(path);
    else if ((path = await this.first())) text = this.opened(path).text;
    if (text !== null) this.send({ type: "program", id: firstRequest, path, text });
    this.send({ type: "files" });
  }

  private opened(path: string): Opened {
    this.shelf.last = path;
    return { type: "opened", path, text: this.shelf.read(path) ?? "", version: "", history: this.shelf.history(path) };
  }

  /** The name of a copy of a piece, or of a lesson's program that was begun. */
  private async copied(piece: string): Promise<string> {
    const own = `${piece}.wend`;
    if (piece.startsWith("lesson-") && this.shelf.read(own) !== null) return own;
    const text = await this.shelf.piece(piece);
    const name = this.shelf.free(piece);
    this.store(name, text);
    return name;
  }

  private offered = false;
  private store(path: string, text: string): void {
    if (this.shelf.write(path, text) || this.offered) return;
    this.offered = true;
    this.receiver.reply({ type: "failed", id: 0, text: "This browser keeps nothing (a private window, or its store is full).", hint: "The program was handed to its downloads; Alt+E, then “The program itself”, does that again." });
    this.keepElsewhere(path, text);
  }
}

/** Answers about a program as those to the first request; how far a long work was is not kept. */
function numbered(answers: Answers): Answers {
  const out: Answers = [];
  for (const answer of answers) {
    if (typeof answer === "string") {
      const reply = JSON.parse(answer) as Reply;
      if (reply.type === "checked" || reply.type === "drawn") out.push(JSON.stringify({ ...reply, id: firstRequest }));
      continue;
    }
    const copy = answer.slice(0);
    if (copy.byteLength >= 8) new DataView(copy).setUint32(4, firstRequest, true);
    out.push(copy);
  }
  return out;
}

function same(a: Answers, b: Answers): boolean {
  const alike = (one: string | ArrayBuffer, other: string | ArrayBuffer): boolean => {
    if (typeof one === "string" || typeof other === "string" || one.byteLength !== other.byteLength) return one === other;
    const bytes = new Uint8Array(other);
    return new Uint8Array(one).every((byte, i) => byte === bytes[i]);
  };
  return a.length === b.length && a.every((answer, i) => alike(answer, b[i]));
}

type Shelved = Piece & { file: string };
/** What came with the site: its pieces, and what a program begins with that is not made from anything. */
type Came = { pieces: Shelved[]; first: string };

/** The programs in the browser's storage, and those that came with the site. */
class Shelf {
  /** What the storage would not take lives as long as the window. */
  private readonly here = new Map<string, string>();
  private came: Promise<Came> | null = null;
  private smalls: Promise<Record<string, string>> | null = null;
  private doneHere: string[] = [];

  list(): FileEntry[] {
    const names = new Set(this.here.keys());
    try {
      for (let i = 0; i < localStorage.length; i++) {
        const key = localStorage.key(i)!;
        if (key.startsWith("wend:")) names.add(key.slice(5));
      }
    } catch {
      // no storage: those of this window are all there are
    }
    return [...names].sort().map((path) => ({ path, kind: "program", modified: "" }));
  }

  read(path: string): string | null {
    try {
      return this.here.get(path) ?? localStorage.getItem(`wend:${path}`);
    } catch {
      return this.here.get(path) ?? null;
    }
  }

  write(path: string, text: string): boolean {
    try {
      localStorage.setItem(`wend:${path}`, text);
      this.here.delete(path);
      return true;
    } catch {
      this.here.set(path, text);
      return false;
    }
  }

  remove(path: string): void {
    this.here.delete(path);
    try {
      localStorage.removeItem(`wend:${path}`);
    } catch {
      // it was not there
    }
  }

  /** The program that was opened last, in whichever tab; empty if it is not known. */
  get last(): string {
    try {
      return localStorage.getItem("wend-last") ?? "";
    } catch {
      return "";
    }
  }

  set last(path: string) {
    try {
      localStorage.setItem("wend-last", path);
    } catch {
      // then the next time begins with another of them
    }
  }

  history(path: string): unknown {
    try {
      return JSON.parse(localStorage.getItem(`wend-undo:${path}`) ?? "null");
    } catch {
      return null;
    }
  }

  keepHistory(path: string, entries: unknown): void {
    try {
      localStorage.setItem(`wend-undo:${path}`, JSON.stringify(entries));
    } catch {
      // what can be undone is worth less than what was written
    }
  }

  /** The tasks of the lessons that are done in this browser, in their order. */
  done(): string[] {
    let kept: unknown = null;
    try {
      kept = JSON.parse(localStorage.getItem("wend-lessons") ?? "null");
    } catch {
      // what this window knows is all there is
    }
    const order = (task: string): number => task.split(".").reduce((sum, part) => 100 * sum + Number(part), 0);
    return [...new Set([...(Array.isArray(kept) ? kept.map(String) : []), ...this.doneHere])].sort((a, b) => order(a) - order(b));
  }

  /** Adds tasks to those that are done; false if that lives only as long as the window. */
  keepDone(tasks: string[]): boolean {
    this.doneHere = [...this.doneHere, ...tasks];
    try {
      localStorage.setItem("wend-lessons", JSON.stringify(this.done()));
      return true;
    } catch {
      return false;
    }
  }

  free(name: string): string {
    const taken = new Set(this.list().map((f) => f.path));
    let free = `${name}.wend`;
    for (let i = 2; taken.has(free); i++) free = `${name}-${i}.wend`;
    return free;
  }

  site(): Promise<Came> {
    const nothing: Came = { pieces: [], first: "" };
    this.came ??= fetch(new URL("gallery.json", document.baseURI))
      .then((answer) => (answer.ok ? (answer.json() as Promise<Came>) : nothing))
      .catch(() => nothing);
    return this.came;
  }

  /** The small picture of a piece; empty if it cannot be had. */
  async small(name: string): Promise<string> {
    this.smalls ??= fetch(new URL("small.json", document.baseURI))
      .then((answer) => (answer.ok ? (answer.json() as Promise<Record<string, string>>) : {}))
      .catch(() => ({}));
    return (await this.smalls)[name] ?? "";
  }

  async piece(name: string): Promise<string> {
    const piece = (await this.site()).pieces.find((p) => p.name === name);
    if (!piece) return "";
    const answer = await fetch(new URL(piece.file, document.baseURI));
    return answer.ok ? answer.text() : "";
  }
}
