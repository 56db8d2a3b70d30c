import type { Carrier } from "./carrier.ts";
import { make, picturePlace, whenSeen, type Cards, type Group } from "./cards.ts";
import type { Editor } from "./editor.ts";
import type { Changed, Conflict, Files, Opened, Reply, Request } from "./messages.ts";
import { handedOut, rememberPath } from "./tab.ts";

export type KeepHooks = {
  say(text: string): void;
  saved(path: string): void;
  /** Another program, or another name for it, is the one that is shown. */
  opened(path: string, text: string, renamed: boolean): void;
  /** What is in the folder, and which tasks of the lessons are done there. */
  listed(files: Files): void;
  /** The small picture of a piece, if it is still wanted when it is there; empty for none. */
  small(piece: string, wanted: () => boolean): Promise<string>;
};

/** Requests about files are numbered from here, those to the engine from 1. */
const firstID = 2 ** 31;

/** Files: opened, saved by themselves a moment after each change, and never lost. */
export class Keep {
  path = "";
  files: Files | null = null;
  private version: string | number = "";
  private saved = "";
  private wanted: string | null = null;
  private saving = false;
  private conflict: Conflict | null = null;
  private timer = 0;
  private lastID = firstID;
  private saveID = 0;
  private begun = false;
  private carried: string | null = null;
  private renaming = "";

  constructor(
    private readonly carrier: () => Carrier,
    private readonly editor: Editor,
    private readonly cards: Cards,
    private readonly hooks: KeepHooks,
  ) {
    addEventListener("pagehide", () => this.save());
    addEventListener("visibilitychange", () => document.hidden && this.save());
    addEventListener("hashchange", () => {
      const piece = handedOut();
      if (this.files?.gallery?.some(({ name }) => name === piece)) this.open({ piece });
    });
  }

  /** The way to the engine is open (again). */
  begin(): void {
    this.saving = false;
    this.send({ type: "files" });
    if (this.path) this.save();
  }

  changed(): void {
    if (!this.path) return;
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.save(), 500);
  }

  get unsaved(): boolean {
    return this.path !== "" && this.editor.text !== this.saved;
  }

  save(): void {
    clearTimeout(this.timer);
    if (!this.path || !this.unsaved || this.saving || this.conflict) return;
    this.saving = true;
    this.wanted = this.editor.text;
    this.saveID = this.send({ type: "save", path: this.path, text: this.wanted, version: this.version });
    // At once and not when it is saved: a page that is being left hears no answer.
    this.send({ type: "history", path: this.path, entries: this.editor.undoable() });
  }

  /** A request about files was refused; the reason is said elsewhere. What is not saved is tried again with the next change. */
  refused(id: number): void {
    if (id === this.saveID) this.saving = false;
  }

  private send(request: Request): number {
    this.carrier().send({ ...request, id: ++this.lastID });
    return this.lastID;
  }

  open(what: { path: string } | { piece: string }): void {
    this.save();
    this.send({ type: "open", ...what });
  }

  reply(m: Reply): boolean {
    switch (m.type) {
      case "files":
        this.files = m;
        this.hooks.listed(m);
        this.first();
        if (this.cards.current === "files") this.show();
        return true;
      case "opened":
        this.take(m);
        return true;
      case "saved":
        if (m.path !== this.path) return true;
        this.version = m.version;
        if (this.wanted !== null) this.saved = this.wanted;
        this.saving = false;
        if (this.unsaved) this.changed();
        else this.hooks.saved(m.path);
        return true;
      case "conflict":
        this.saving = false;
        if (m.path !== this.path) return true;
        this.beside(m);
        return true;
      case "changed":
        this.outside(m);
        return true;
      default:
        return false;
    }
  }

  /** Keeps which tasks of the lessons are done. */
  done(tasks: string[]): void {
    this.send({ type: "done", tasks });
  }

  show(): void {
    const groups: Group[] = [
      { title: "In this folder", rows: [] },
      { title: "Lessons", rows: [] },
      { title: "Gallery (opened as a copy)", rows: [] },
    ];
    for (const file of this.files?.files ?? []) {
      const program = file.kind === "program";
      groups[0].rows.push({
        name: file.kind,
        content: [make("span", { class: "words", text: file.path }), make("small", { text: file.path === this.path ? "open" : program ? "" : file.kind })],
        act: () => {
          if (!program) {
            this.hooks.say(`${file.path} is a ${file.kind}; a program reads it by its name.`);
            return;
          }
          this.cards.close();
          this.open({ path: file.path });
        },
      });
    }
    const pictures = new Map<Element, () => void>();
    for (const piece of this.files?.gallery ?? []) {
      const lesson = piece.kind === "lesson";
      let content: Node[] = [make("span", { class: "words", text: piece.title }), make("small", { text: this.progress(piece.tasks ?? []) })];
      if (!lesson) {
        const { place, draw } = picturePlace();
        pictures.set(place, () => void this.hooks.small(piece.name, () => place.isConnected).then(draw));
        content = [place, make("span", { class: "words" }, make("strong", { text: piece.name }), document.createTextNode(piece.title === piece.name ? "" : ` ${piece.title}`))];
      }
      groups[lesson ? 1 : 2].rows.push({
        name: piece.kind,
        content,
        act: () => {
          this.cards.close();
          this.open({ piece: piece.name });
        },
      });
    }
    const body = this.cards.open("files", "Open");
    this.cards.list(body, "Search files, lessons, gallery", groups, this.files?.folder ? `Folder: ${this.files.folder}` : "");
    whenSeen(pictures);
  }

  /** How much of a lesson is done, in words. */
  private progress(tasks: string[]): string {
    const done = tasks.filter((task) => this.files?.done?.includes(task)).length;
    if (!done) return "";
    return done === tasks.length ? "✓ done" : `${done} of ${tasks.length} tasks done`;
  }

  askNew(): void {
    this.cards.ask("new", "New program", "Its name", this.free("drawing"), (name) => {
      const path = withEnding(name);
      if (this.files?.files?.some((f) => f.path === path)) {
        this.hooks.say(`${path} is there already; nothing was changed. Another name makes a new one.`);
        return;
      }
      this.save();
      this.send({ type: "new", path });
    });
  }

  askRename(): void {
    this.cards.ask("rename file", `Another name for ${this.path}`, "Its new name", this.path, (name) => {
      const to = withEnding(name);
      if (to === this.path) return;
      this.save();
      this.renaming = to;
      this.send({ type: "rename", path: this.path, to });
    });
  }

  /** The first program of a folder comes by itself, or the one of before a reload. */
  private first(): void {
    if (this.path || this.begun) return;
    this.begun = true;
    if (this.files?.files?.some((f) => f.kind === "program")) return;
    if (this.files?.gallery?.length) {
      this.hooks.say("This folder has no program yet. Choose a piece or a lesson, or Escape and Alt+N for an empty sheet.");
      this.show();
    } else this.askNew();
  }

  private take(m: Opened): void {
    this.path = m.path;
    this.version = m.version;
    this.saved = m.text;
    this.wanted = null;
    this.saving = false;
    this.conflict = null;
    rememberPath(m.path);
    document.title = `${m.path} · wend`;
    this.hooks.opened(m.path, m.text, m.path === this.renaming);
    this.renaming = "";
    this.editor.load(m.text, m.history);
    if (this.carried !== null) this.editor.replace(this.carried);
    this.carried = null;
  }

  private outside(m: Changed): void {
    if (m.path !== this.path || m.text === this.editor.text) {
      if (m.path === this.path) [this.version, this.saved] = [m.version, m.text];
      return;
    }
    if (this.unsaved) {
      this.beside({ type: "conflict", path: m.path, theirs: m.text, version: m.version });
      return;
    }
    this.version = m.version;
    this.saved = m.text;
    this.editor.replace(m.text);
    this.hooks.say(`${m.path} was changed elsewhere and is taken in; Ctrl+Z goes back.`);
  }

  /** Both changed: the two texts stand side by side, and a person chooses. */
  private beside(conflict: Conflict): void {
    this.conflict = conflict;
    const settle = (act: () => void): (() => void) => () => {
      this.conflict = null;
      this.version = conflict.version;
      this.cards.close();
      act();
    };
    const body = this.cards.open("conflict", `${conflict.path} was changed here and elsewhere`, null, true);
    const mine = this.editor.text;
    body.append(
      make("p", { text: "Nothing is saved until you choose. Lines that differ are marked." }),
      make("div", { class: "two" }, side("Yours", mine, conflict.theirs), side("Theirs", conflict.theirs, mine)),
    );
    const choice = (text: string, act: () => void): HTMLButtonElement => {
      const button = make("button", { type: "button", text });
      button.onclick = settle(act);
      return button;
    };
    const choices = make(
      "div",
      { class: "choices" },
      choice("Keep yours", () => this.save()),
      choice("Take theirs", () => {
        this.saved = conflict.theirs;
        this.editor.replace(conflict.theirs);
      }),
      choice("Keep both: yours under a new name", () => {
        // The new file comes as an opened one; the text then follows as a change of it.
        this.carried = mine;
        this.path = "";
        this.send({ type: "new", path: this.free(`${conflict.path.replace(/\.wend$/, "")}-mine`) });
      }),
    );
    body.append(choices);
    choices.querySelector("button")!.focus();
    this.hooks.say(`${conflict.path} was changed here and elsewhere: choose which to keep.`);
  }

  private free(name: string): string {
    const taken = new Set(this.files?.files?.map((f) => f.path));
    let free = `${name}.wend`;
    for (let i = 2; taken.has(free); i++) free = `${name}-${i}.wend`;
    return free;
  }
}

function withEnding(name: string): string {
  return name.endsWith(".wend") ? name : `${name}.wend`;
}

function side(title: string, text: string, other: string): HTMLElement {
  const there = new Set(other.split("\n"));
  const pre = make("pre", { tabindex: "0", "aria-label": title });
  for (const line of text.split("\n")) pre.append(make("span", { class: there.has(line) ? "same" : "other", text: line || " " }));
  return make("div", {}, make("h3", { text: title }), pre);
}
