import { make } from "./cards.ts";
import { withCode, type Editor } from "./editor.ts";
import { saidOf, showGuess } from "./guess.ts";
import type { CheckedTask, Lesson, LessonChecked, Task } from "./messages.ts";
import { Mixed } from "./mixed.ts";
import type { Session } from "./session.ts";
import type { Sheet } from "./sheet.ts";
import { SketchLayer } from "./sketch.ts";
import { lessonOf, recallLearned, rememberLearned } from "./tab.ts";

export type LessonHooks = {
  /** Says what happened; what stands in the lesson itself is shown shorter. */
  say(text: string, shown?: string): void;
  /** The picture is no longer held back, or now is. */
  held(): void;
  /** The line is drawn for the first time; then there is something to say of it. */
  draws(told: string, shown: string): void;
  /** The line is shown to its end. */
  whole(): void;
  /** These tasks are done. */
  done(tasks: string[]): void;
  open(piece: string): void;
  path(): string;
  /** How many lessons there are. */
  count(): number;
};

/** What is said to whoever asks for the picture before a guess. */
export const guessFirst = "First guess what the program draws, or let it be drawn without a guess.";

/** The page of a lesson, or one of its tasks by its index. */
type Part = "page" | number;

/**
 * A lesson beside the sheet: its page with a guess before the program draws, and
 * its tasks with their sketches, hints and checks.
 */
export class Lessons {
  private lesson: Lesson | null = null;
  private part: Part = "page";
  /** Whether it is not known yet if the picture is to be held back. */
  private undecided = false;
  /** Null: nothing was guessed yet; -1: nobody wanted to. */
  private guess: number | null = null;
  private checked: { text: string; all: LessonChecked } | null = null;
  private readonly hints = new Map<string, number>();
  private readonly mixed = new Map<string, { rows: Mixed; written: string | null }>();
  private sketchShown = true;
  private already: string[] = [];
  private opening = 0;

  constructor(
    private readonly host: HTMLElement,
    private readonly session: Session,
    private readonly editor: Editor,
    private readonly sheet: Sheet,
    private readonly hooks: LessonHooks,
  ) {
    // The pictures of a guess have the colours of the moment they were drawn in.
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.lesson && this.show());
  }

  /** Whether the picture is held back until somebody has guessed. */
  get holds(): boolean {
    return this.undecided || (this.lesson !== null && this.guess === null);
  }

  get shown(): boolean {
    return this.lesson !== null;
  }

  /** The tasks that are done, as they are kept. */
  known(done: string[]): void {
    this.already = [...new Set([...done, ...this.already])];
    if (this.lesson) this.showParts();
  }

  /** Another file is shown; a lesson stays with its own under another name. */
  opened(path: string, text: string, renamed: boolean): void {
    const number = renamed && this.lesson ? this.lesson.number : lessonOf(path);
    if (!number) {
      this.close();
      return;
    }
    const learned = recallLearned();
    rememberLearned({ ...learned, files: { ...learned.files, [path]: number } });
    if (this.lesson?.number === number) return;
    void this.begin(number, text);
  }

  private async begin(number: number, text: string): Promise<void> {
    const opening = ++this.opening;
    this.clear();
    this.undecided = true;
    const lesson = await this.session.lesson(number);
    if (opening !== this.opening) return;
    this.undecided = false;
    if (!lesson) {
      this.close();
      return;
    }
    this.lesson = lesson;
    const guessed = recallLearned().guesses[number];
    const begun = text.trim() !== lesson.start.trim() || lesson.tasks.some((t) => this.already.includes(t.task));
    this.guess = guessed ?? (begun ? -1 : null);
    const next = lesson.tasks.findIndex((t) => !this.already.includes(t.task));
    document.body.classList.add("learns");
    this.host.hidden = false;
    this.go(begun && next >= 0 ? next : "page");
    this.hooks.say(`Lesson ${lesson.number}: ${lesson.title}.${this.guess === null ? " Read the page, and guess before it is drawn." : ""}`);
    this.hooks.held();
  }

  private clear(): void {
    this.lesson = null;
    this.checked = null;
    this.hints.clear();
    this.mixed.clear();
    this.sheet.marks.ring = null;
    this.sheet.touch("marks");
    this.sheet.showSketch(null);
  }

  /** The lesson goes; the program stays. */
  close(): void {
    this.opening++;
    const held = this.holds;
    this.clear();
    this.undecided = false;
    document.body.classList.remove("learns");
    this.host.hidden = true;
    this.host.replaceChildren();
    if (held) this.hooks.held();
  }

  /** The text was changed: what was ringed may be elsewhere now, and what was said is of the text before. */
  changed(): void {
    this.showWhen();
    if (!this.sheet.marks.ring) return;
    this.sheet.marks.ring = null;
    this.sheet.touch("marks");
  }

  focus(): void {
    this.host.querySelector<HTMLElement>('[aria-current="step"]')?.focus();
  }

  toggleSketch(): void {
    if (!this.task?.sketch) {
      this.hooks.say(this.lesson ? "There is no sketch here: choose a task that has one." : noLesson);
      return;
    }
    this.sketchShown = !this.sketchShown;
    this.showSketch();
    this.hooks.say(this.sketchShown ? "The sketch lies under your line." : "Your line alone.");
  }

  hint(): void {
    const task = this.task;
    if (!task) {
      this.hooks.say(this.lesson ? "Hints are of a task: choose one first." : noLesson);
      return;
    }
    const seen = this.hints.get(task.task) ?? 0;
    if (seen === task.hints.length) {
      this.hooks.say("These are all the hints there are.");
      return;
    }
    this.hints.set(task.task, seen + 1);
    this.show();
    this.host.querySelector(".hints")!.lastElementChild!.scrollIntoView({ block: "nearest" });
    this.hooks.say(`Hint ${seen + 1} of ${task.hints.length}: ${plain(task.hints[seen])}`, `Hint ${seen + 1} of ${task.hints.length}.`);
  }

  /** Holds the program against the tasks. Once more after one is solved goes on to the next. */
  async check(): Promise<void> {
    const lesson = this.lesson;
    if (!lesson) {
      this.hooks.say(noLesson);
      return;
    }
    if (this.guess === null) {
      this.go("page");
      this.hooks.say(guessFirst);
      return;
    }
    const { text } = this.editor;
    if (this.checked?.text === text && this.task && this.resultOf(this.task)?.solved) {
      this.onward();
      return;
    }
    const all = await this.session.lessonCheck(lesson.number, this.hooks.path(), text, this.already);
    if (!all || this.lesson !== lesson) return;
    const solved = all.tasks.filter((t) => t.solved).map((t) => t.task);
    if (solved.length) {
      this.already = [...new Set([...this.already, ...solved])];
      this.hooks.done(solved);
    }
    this.checked = { text, all };
    this.hooks.whole();
    if (this.part === "page") this.part = Math.max(0, lesson.tasks.findIndex((t) => t.task === (solved[0] ?? all.next)));
    const task = this.task!;
    // Whoever solves another task than the one that is shown has gone on to it.
    if (!this.resultOf(task)!.solved && solved.length) this.part = lesson.tasks.findIndex((t) => t.task === solved[solved.length - 1]);
    this.show();
    this.showSketch();
    this.host.querySelector(".result")!.scrollIntoView({ block: "nearest" });
    const result = this.resultOf(this.task!)!;
    this.sheet.marks.ring = result.solved ? null : result.at;
    this.sheet.touch("marks");
    if (result.solved) {
      this.hooks.say(`${result.task} is solved. ${this.nextWords(true)}`);
      return;
    }
    if (result.line) this.editor.light(this.editor.lineAt(result.line), true);
    this.hooks.say(`${result.task}, ${result.state}. ${plain(result.says)} Hint: ${plain(stopped(result.hint))}`, `${result.task}, ${result.state}: the lesson says what differs first.`);
  }

  private get task(): Task | null {
    return this.lesson && this.part !== "page" ? this.lesson.tasks[this.part] : null;
  }

  private resultOf(task: Task): CheckedTask | null {
    return this.checked?.all.tasks.find((t) => t.task === task.task) ?? null;
  }

  /** The first task that is not done; -1 if all are. */
  private get next(): number {
    return this.lesson!.tasks.findIndex((t) => !this.already.includes(t.task));
  }

  private nextWords(keys: boolean): string {
    const { next, lesson } = this;
    if (next >= 0) return `Next comes ${lesson!.tasks[next].task}.${keys ? " Alt+C goes on to it." : ""}`;
    return `All tasks of lesson ${lesson!.number} are done.${lesson!.number < this.hooks.count() && keys ? " Alt+C goes on to the next lesson." : ""}`;
  }

  private onward(): void {
    const { next, lesson } = this;
    if (next >= 0) {
      this.go(next);
      const task = lesson!.tasks[next];
      this.hooks.say(`${task.task}, ${task.title}. ${plain(task.asks)}`, `${task.task}, ${task.title}.`);
    } else if (lesson!.number < this.hooks.count()) {
      this.hooks.open(`lesson-${lesson!.number + 1}`);
    } else {
      this.hooks.say("That was the last of the lessons. Now draw what you like.");
    }
  }

  private go(part: Part): void {
    // Whoever goes on to another task has not begun with it.
    if (part !== this.part) this.checked = null;
    this.part = part;
    this.sheet.marks.ring = null;
    this.sheet.touch("marks");
    this.show();
    this.showSketch();
    this.host.querySelector(".lesson-body")!.scrollTop = 0;
  }

  private showSketch(): void {
    const sketch = this.task?.sketch;
    this.sheet.showSketch(sketch && this.sketchShown && this.guess !== null ? new SketchLayer(sketch) : null);
  }

  private show(): void {
    const lesson = this.lesson!;
    const scrolled = this.host.querySelector(".lesson-body")?.scrollTop ?? 0;
    const active = document.activeElement as HTMLElement | null;
    const focused = active?.closest("#lesson") ? active : null;
    const close = make("button", { type: "button", class: "close", id: "lesson-close", text: "Close", "aria-label": "Close the lesson" });
    close.onclick = () => {
      this.close();
      this.editor.view.focus();
      this.hooks.say("The lesson is closed; your program stays. Alt+O opens it again.");
    };
    const body = make("div", { class: "lesson-body" });
    this.host.replaceChildren(
      make("div", { class: "lesson-head" }, make("h2", { id: "lesson-title", text: `${lesson.number}. ${lesson.title}` }), close),
      make("nav", { class: "parts", "aria-label": "Parts of the lesson" }),
      body,
    );
    this.showParts();
    if (this.task) this.showTask(body, this.task);
    else this.showPage(body);
    body.scrollTop = scrolled;
    // Where the keyboard was: on the same element, or on the one that took its place.
    (focused?.isConnected ? focused : focused?.id ? document.getElementById(focused.id) : null)?.focus({ preventScroll: true });
  }

  private showParts(): void {
    const nav = this.host.querySelector(".parts");
    const lesson = this.lesson;
    if (!nav || !lesson) return;
    const focused = nav.contains(document.activeElement) ? document.activeElement!.id : "";
    const parts: Part[] = ["page", ...lesson.tasks.keys()];
    nav.replaceChildren(
      ...parts.map((part) => {
        const task = part === "page" ? null : lesson.tasks[part];
        const done = task !== null && this.already.includes(task.task);
        const button = make("button", { type: "button", id: `part-${part}`, "aria-current": part === this.part ? "step" : undefined, text: task ? task.task : "Page" });
        if (done) button.append(make("span", { "aria-hidden": "true", text: " ✓" }), make("span", { class: "unseen", text: ", done" }));
        button.onclick = () => {
          if (part !== "page" && this.guess === null) {
            this.hooks.say(guessFirst);
            return;
          }
          this.go(part);
        };
        return button;
      }),
    );
    if (focused) document.getElementById(focused)?.focus();
  }

  /** The page. What comes after the guess is shown when there was one. */
  private showPage(body: HTMLElement): void {
    const lesson = this.lesson!;
    let list: HTMLElement | null = null;
    for (const block of lesson.page) {
      if (block.sort !== "item") list = null;
      if (block.sort === "guess") {
        body.append(showGuess(lesson.guess, this.guess, { guessed: (chosen) => this.guessed(chosen) }));
        if (this.guess === null) return;
      } else if (block.sort === "heading") {
        body.append(make("h3", {}, ...withCode(block.text)));
      } else if (block.sort === "item") {
        if (!list) body.append((list = make("ul")));
        list.append(make("li", {}, ...withCode(block.text)));
      } else body.append(make("p", {}, ...withCode(block.text)));
    }
    const first = Math.max(0, this.next);
    const on = make("button", { type: "button", class: "on", id: "lesson-on", text: `On to ${lesson.tasks[first].task}: ${lesson.tasks[first].title}` });
    on.onclick = () => {
      this.go(first);
      this.focus();
    };
    body.append(on);
  }

  private guessed(chosen: number): void {
    this.guess = chosen;
    const learned = recallLearned();
    rememberLearned({ ...learned, guesses: { ...learned.guesses, [this.lesson!.number]: chosen } });
    this.show();
    document.getElementById("lesson-on")!.focus({ preventScroll: true });
    this.host.querySelector(".told")!.scrollIntoView({ block: "center" });
    this.hooks.held();
    const right = chosen >= 0 && this.lesson!.guess.answers[chosen].right;
    this.hooks.draws(saidOf(this.lesson!.guess, chosen), chosen < 0 ? "This is what it draws." : right ? "You guessed it." : "This is what it draws: another one than you guessed.");
  }

  private showTask(body: HTMLElement, task: Task): void {
    const done = this.already.includes(task.task);
    body.append(make("h3", { text: `${task.task}  ${task.title}${done ? " ✓" : ""}` }), make("p", {}, ...withCode(task.asks)));
    if (task.mixed.length) body.append(this.mixedOf(task));
    if (task.sketch) {
      body.append(
        make("p", { class: "card-note", text: "The dashed line on the sheet is what is wanted, with its measures. Alt+K takes it away and brings it back." }),
        make("details", {}, make("summary", { text: "The measures in words" }), make("p", { text: `${sentence(task.measures)}.` })),
      );
    }
    const check = make("button", { type: "button", id: "lesson-check" }, document.createTextNode("Check "), make("kbd", { text: "Alt+C" }));
    check.onclick = () => void this.check();
    const seen = this.hints.get(task.task) ?? 0;
    const hint = make(
      "button",
      { type: "button", id: "lesson-hint" },
      document.createTextNode(seen === 0 ? "A hint " : seen < task.hints.length ? `Another hint (${seen + 1} of ${task.hints.length}) ` : "No more hints "),
      make("kbd", { text: "Alt+H" }),
    );
    hint.onclick = () => this.hint();
    body.append(make("div", { class: "choices" }, check, hint));
    const result = this.resultOf(task);
    if (result) {
      body.append(this.showResult(result));
      this.showWhen();
    }
    if (seen) {
      const list = make("ol", { class: "hints", "aria-label": "Hints" });
      for (const text of task.hints.slice(0, seen)) list.append(make("li", {}, ...withCode(text)));
      body.append(list);
    }
    const anew = make("button", { type: "button", class: "quiet", id: "lesson-anew", text: "Back to the first program" });
    anew.onclick = () => {
      this.editor.replace(this.lesson!.start);
      this.hooks.say("The program that the lesson begins with; Ctrl+Z brings yours back.");
    };
    body.append(anew);
  }

  /** Says of a result whether it is of the program as it stands. */
  private showWhen(): void {
    this.host.querySelector(".result")?.classList.toggle("before", this.checked?.text !== this.editor.text);
  }

  private showResult(result: CheckedTask): HTMLElement {
    const box = make("div", { class: `result${result.solved ? " solved" : ""}` }, make("p", { class: "since", text: "Your program has changed since then: Alt+C checks it again." }));
    if (result.solved) {
      const on = make("button", { type: "button", class: "on", id: "lesson-on" });
      const next = this.next >= 0 ? `On to ${this.lesson!.tasks[this.next].task} ` : `On to lesson ${this.lesson!.number + 1} `;
      on.append(document.createTextNode(next), make("kbd", { class: "now", text: "Alt+C" }));
      on.onclick = () => this.onward();
      const last = this.next < 0 && this.lesson!.number === this.hooks.count();
      box.append(make("p", { class: "state", text: "✓ Solved" }), make("p", { text: this.nextWords(false) }), ...(last ? [] : [on]));
      return box;
    }
    box.append(make("p", { class: "state", text: sentence(`${result.state}.`) }), make("p", {}, ...withCode(result.says)));
    if (result.at) box.append(make("p", { class: "now", text: "The ring on the sheet shows the place." }));
    if (result.line) {
      const to = make("button", { type: "button", class: "now", id: "lesson-line", text: `Go to line ${result.line}` });
      to.onclick = () => {
        const range = this.editor.lineAt(result.line);
        if (range) this.editor.goTo(range[1]);
      };
      box.append(to);
    }
    box.append(make("p", {}, document.createTextNode("Hint: "), ...withCode(stopped(result.hint))));
    return box;
  }

  /** The rows of a task; once they are the program, the program follows them. */
  private mixedOf(task: Task): HTMLElement {
    let one = this.mixed.get(task.task);
    if (!one) {
      const made: { rows: Mixed; written: string | null } = {
        written: null,
        rows: new Mixed(task.mixed, {
          say: this.hooks.say,
          moved: () => made.written !== null && this.editor.text === made.written && write(),
        }),
      };
      const write = (): void => {
        made.written = `${made.rows.rows.join("\n")}\n`;
        this.editor.replace(made.written);
      };
      const use = make("button", { type: "button", id: "lesson-rows", text: "Make these rows the program" });
      use.onclick = () => {
        write();
        this.hooks.say("The rows are the program now, and it follows them when you move one. Ctrl+Z brings the one before back.");
      };
      made.rows.element.append(make("div", { class: "choices" }, use));
      this.mixed.set(task.task, (one = made));
    }
    return one.rows.element;
  }
}

const noLesson = "No lesson is open: Alt+O has the lessons.";

const plain = (text: string): string => text.replaceAll("`", "");
const stopped = (text: string): string => (/[.!?]$/.test(text) ? text : `${text}.`);
const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
