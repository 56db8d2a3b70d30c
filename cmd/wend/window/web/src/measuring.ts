import { isolateHistory } from "@codemirror/commands";
import type { Editor } from "./editor.ts";
import { digitsOf, place, print, rounded, stepped, type Drawn } from "./measures.ts";
import type { Measure, Step } from "./messages.ts";
import type { Session } from "./session.ts";
import type { Sheet } from "./sheet.ts";

/** A minus that is a sign and not a subtraction. */
const standsAlone = /(?:^|[\s(,=[:])-$/;

/**
 * The number under the caret as a measure on the sheet, with a knob at its end.
 * While the knob is pulled, the number follows, and with it the line.
 */
export class Measuring {
  private shown: Drawn | null = null;
  private pulled: { drawn: Drawn; from: number; begun: boolean } | null = null;
  private stepsOf = 0;
  private steps: Step[] = [];
  private asked = 0;

  constructor(
    private readonly knob: HTMLButtonElement,
    private readonly sheet: Sheet,
    private readonly session: Session,
    private readonly editor: Editor,
    private readonly shownSheet: () => number,
    private readonly path: () => string,
    private readonly say: (text: string) => void,
  ) {
    knob.addEventListener("pointerdown", (event) => {
      if (!this.shown) return;
      event.preventDefault();
      knob.setPointerCapture(event.pointerId);
      const measure = this.measureAt(editor.caret);
      if (measure) this.pulled = { drawn: this.shown, from: measure.from, begun: false };
    });
    knob.addEventListener("pointermove", (event) => this.pull(event));
    for (const end of ["pointerup", "pointercancel"] as const) {
      knob.addEventListener(end, () => {
        this.pulled = null;
        this.caret(editor.caret);
      });
    }
    knob.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 }[event.key];
      if (!by || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      event.stopPropagation();
      this.step(event.shiftKey ? 10 * by : by);
    });
    new ResizeObserver(() => this.caret(editor.caret)).observe(knob.parentElement!);
  }

  /** Steps the number at the caret by its last decimal. */
  step(by: number): boolean {
    const { text, caret } = this.editor;
    const line = text.lastIndexOf("\n", caret - 1) + 1;
    // The number may have been typed since the text was last checked.
    for (const match of text.slice(line).split("\n", 1)[0].matchAll(/(?<![\p{L}\p{N}_.])\d[\d_]*(?:\.\d+)?/gu)) {
      const from = line + match.index;
      const to = from + match[0].length;
      if (caret < from || caret > to) continue;
      // A sign that stands by itself before the number belongs to it.
      const signed = standsAlone.test(text.slice(line, from));
      const next = stepped(signed ? `-${match[0]}` : match[0], by);
      if (next === null) return true;
      this.write(signed ? from - 1 : from, to, next);
      this.say(`${signed ? "-" : ""}${match[0]} → ${next}`);
      return true;
    }
    return false;
  }

  /** Shows the measure at the caret, if the picture is of the text as it stands. */
  caret(at: number): void {
    const { session, sheet } = this;
    const current = session.picture?.facts.id === session.newest && session.checked?.id === session.newest;
    const measure = this.measureAt(at);
    const line = session.picture?.lines[this.shownSheet()];
    if (!measure || !sheet.line) this.hide(); // a picture that is held back has no measures
    if (!current || !line || !measure || !sheet.line) return;
    const run = this.runOf(measure);
    this.shown = run && place(measure, this.second(measure), line, run, sheet.mmPerPixel);
    if (!this.shown) {
      if (!run) void this.fetchSteps(at);
      this.hide();
      return;
    }
    sheet.marks.measure = this.shown;
    sheet.touch("marks");
    const [x, y] = sheet.pixels(...this.shown.handle);
    this.knob.hidden = false;
    this.knob.style.left = `${x}px`;
    this.knob.style.top = `${y}px`;
    this.knob.setAttribute("aria-label", `End of the measure ${print(measure.value)} ${measure.unit || (measure.kind === "angle" ? "degrees" : "mm")}; arrows step it`);
  }

  private hide(): void {
    if (this.pulled) return;
    this.shown = null;
    this.sheet.marks.measure = null;
    this.sheet.touch("marks");
    this.knob.hidden = true;
  }

  /** The measure at a place; a sign that stands by itself before it belongs to it. */
  private measureAt(at: number): Measure | null {
    const { text } = this.editor;
    const found = this.session.checked?.measures?.find((m) => m.from - 1 <= at && at <= m.to && m.kind !== "other");
    if (!found) return null;
    const signed = found.from > 0 && text[found.from - 1] === "-" && standsAlone.test(text.slice(Math.max(0, found.from - 3), found.from));
    if (signed) return { ...found, from: found.from - 1, value: -found.value };
    return found.from <= at ? found : null;
  }

  /** Whether another number stands before this one in its statement. */
  private second(measure: Measure): boolean {
    const line = this.editor.text.lastIndexOf("\n", measure.from - 1) + 1;
    return this.session.checked!.measures!.some((m) => m.from >= line && m.to < measure.from);
  }

  /** The first stretch that the measure's statement drew, or, of one that draws nothing, where it stands. */
  private runOf(measure: Measure): [number, number] | null {
    const picture = this.session.picture!;
    const line = picture.lines[this.shownSheet()];
    const all = picture.facts.statements ?? [];
    let width = Infinity;
    let best: [number, number] | null = null;
    all.forEach((s, i) => {
      if (measure.from < s.from || measure.to > s.to || s.to - s.from >= width) return;
      const run = line.runsOf(i)[0];
      if (!run) return;
      width = s.to - s.from;
      best = run;
    });
    const step = this.stepsOf === this.session.newest ? this.steps.find((s) => s.sheet === this.shownSheet() && s.from <= measure.from && measure.to <= s.to && s.to - s.from < width) : null;
    if (step && measure.kind === "angle") return [Math.min(step.piece, line.pieces), Math.min(step.piece, line.pieces)];
    return best;
  }

  /** Where turns stand is known from the order in which statements run. */
  private async fetchSteps(at: number): Promise<void> {
    const id = this.session.newest;
    if (this.asked === id) return;
    this.asked = id;
    const answer = await this.session.steps(this.path(), this.editor.text, 0, 400);
    if (!answer || this.session.newest !== id) return;
    this.steps = answer.steps ?? [];
    this.stepsOf = id;
    if (this.editor.caret === at) this.caret(at);
  }

  private pull(event: PointerEvent): void {
    if (!this.pulled || !this.knob.hasPointerCapture(event.pointerId)) return;
    const value = this.pulled.drawn.valueAt(...this.sheet.mm(event.clientX, event.clientY));
    const { text } = this.editor;
    const from = this.pulled.from;
    const negative = text[from] === "-";
    const digits = digitsOf(text.slice(negative ? from + 1 : from));
    if (!digits) return;
    const to = from + digits.length + (negative ? 1 : 0);
    const next = rounded(value, digits);
    if (next === text.slice(from, to)) return;
    // The whole pull is one step back, however long the hand rests in it.
    this.editor.view.dispatch({
      changes: { from, to, insert: next },
      selection: { anchor: from + next.length },
      userEvent: "input.type.compose",
      annotations: this.pulled.begun ? [] : isolateHistory.of("before"),
    });
    this.pulled.begun = true;
    this.say(`Pulled to ${next}.`);
  }

  private write(from: number, to: number, insert: string): void {
    this.editor.view.dispatch({ changes: { from, to, insert }, selection: { anchor: from + insert.length }, userEvent: "input.measure" });
  }
}
