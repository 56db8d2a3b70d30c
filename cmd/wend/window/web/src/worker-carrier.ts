import type { Begin, Carrier, Receiver } from "./carrier.ts";
import type { FileEntry, Opened, Piece, Reply, Request } from "./messages.ts";
import { readBytes } from "./messages.ts";

/** One engine in a worker of its own. */
type Engine = { worker: Worker; ready: boolean };

/** The number of the request that draws what a window begins with. */
const firstRequest = 1;

/** An evaluation that takes longer is given up, s. */
const limitSeconds = 30;
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
  /** Whether the page has heard what the engine would say of the first program. */
  private foretold = false;
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
    if (typeof data === "string") {
      const reply = JSON.parse(data) as Reply;
      if (this.foretold && "id" in reply && reply.id === firstRequest && reply.type !== "failed") return;
      this.receiver.reply(reply);
      return;
    }
    const bytes = readBytes(data);
    if (bytes && !(this.foretold && bytes.id === firstRequest)) this.receiver.bytes(bytes);
  }

  /**
   * Shows somebody who comes for the first time a drawing, as the engine made it when
   * the site was written; the engine makes it once more when it is there, so that it
   * knows what is asked about. The name of the drawing; empty if there is none.
   */
  private async foretell(): Promise<string> {
    const answer = await fetch(new URL("first.bin", document.baseURI)).catch(() => null);
    if (!answer?.ok) return "";
    const all = await answer.arrayBuffer().catch(() => new ArrayBuffer(0));
    const view = new DataView(all);
    // What came cut short, or is another file, is as if there were none.
    const messages: (Reply | ArrayBuffer)[] = [];
    try {
      for (let at = 0; at < all.byteLength; ) {
        const text = view.getUint32(at, true) === 1;
        const end = at + 8 + view.getUint32(at + 4, true);
        if (end > all.byteLength) return "";
        const message = all.slice(at + 8, end);
        messages.push(text ? (JSON.parse(new TextDecoder().decode(message)) as Reply) : message);
        at = end;
      }
    } catch {
      return "";
    }
    let path = "";
    for (const message of messages) {
      if (message instanceof ArrayBuffer) {
        const bytes = readBytes(message);
        if (bytes) this.receiver.bytes(bytes);
        continue;
      }
      if (message.type === "opened") {
        path = message.path;
        this.store(path, message.text);
      }
      this.receiver.reply(message);
    }
    if (!path) return "";
    this.foretold = true;
    return path;
  }

  private next(): void {
    if (this.running || !this.engine.ready || !this.queue.length) return;
    const request = this.queue.shift()!;
    const timer = window.setTimeout(() => {
      this.receiver.reply({ type: "failed", id: request.id ?? 0, text: `This took longer than ${limitSeconds} s and was given up.`, hint: "Fewer passes, or a coarser step, make it lighter." });
      this.replace();
    }, limitSeconds * 1000);
    this.running = { request, since: performance.now(), timer };
    this.engine.worker.postMessage(JSON.stringify(request));
  }

  private done(engine: Engine): void {
    if (engine !== this.engine || !this.running) return;
    clearTimeout(this.running.timer);
    this.running = null;
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
    let path = named ? await this.copied(begin.piece) : ((own.find((file) => file.path === begin.path) ?? own[0])?.path ?? "");
    if (path) this.receiver.reply({ ...this.opened(path), program: firstRequest });
    else path = await this.foretell();
    if (path) this.send({ type: "program", id: firstRequest, path, text: this.opened(path).text });
    this.send({ type: "files" });
  }

  private opened(path: string): Opened {
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

type Shelved = Piece & { file: string };
/** What came with the site: its pieces, and what a program begins with that is not made from anything. */
type Came = { pieces: Shelved[]; first: string };

/** The programs in the browser's storage, and those that came with the site. */
class Shelf {
  /** What the storage would not take lives as long as the window. */
  private readonly here = new Map<string, string>();
  private came: Promise<Came> | null = null;
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

  async piece(name: string): Promise<string> {
    const piece = (await this.site()).pieces.find((p) => p.name === name);
    if (!piece) return "";
    const answer = await fetch(new URL(piece.file, document.baseURI));
    return answer.ok ? answer.text() : "";
  }
}
