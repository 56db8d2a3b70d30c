import { autocompletion, completionKeymap, type CompletionContext, type CompletionResult } from "@codemirror/autocomplete";
import { defaultKeymap, history, historyField, historyKeymap, indentWithTab } from "@codemirror/commands";
import { bracketMatching, indentUnit } from "@codemirror/language";
import { highlightSelectionMatches, search, searchKeymap } from "@codemirror/search";
import { EditorState, Prec, RangeSetBuilder, StateEffect, StateField, type Extension, type TransactionSpec } from "@codemirror/state";
import { Decoration, EditorView, highlightActiveLine, hoverTooltip, keymap, lineNumbers, WidgetType, type DecorationSet } from "@codemirror/view";
import type { Answer, Change, Colour, Message } from "./messages.ts";

export type EditorHooks = {
  changed(text: string, byHand: boolean): void;
  caret(at: number): void;
  ask(what: string, at: number, name?: string): Promise<Answer | null>;
  /** Alt and an arrow: steps the number under the caret. */
  stepNumber(by: number): boolean;
};

const setColours = StateEffect.define<Colour[]>();
const setMessages = StateEffect.define<Message[]>();
const setLit = StateEffect.define<[number, number] | null>();
const showNotes = StateEffect.define<boolean>();

const colours = StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update(set, tr) {
    set = set.map(tr.changes);
    for (const effect of tr.effects) {
      if (!effect.is(setColours)) continue;
      const builder = new RangeSetBuilder<Decoration>();
      const length = tr.state.doc.length;
      let last = 0;
      for (const [from, to, meaning] of effect.value) {
        if (from < last || to > length || from >= to) continue; // -1: it stands in another file
        builder.add(from, to, Decoration.mark({ class: `is-${meaning}` }));
        last = to;
      }
      set = builder.finish();
    }
    return set;
  },
  provide: (field) => EditorView.decorations.from(field),
});

const lit = StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update(set, tr) {
    set = set.map(tr.changes);
    for (const effect of tr.effects) {
      if (!effect.is(setLit)) continue;
      const range = effect.value;
      const good = range && range[0] < range[1] && range[1] <= tr.state.doc.length;
      set = good ? Decoration.set(Decoration.mark({ class: "is-lit" }).range(range[0], range[1])) : Decoration.none;
    }
    return set;
  },
  provide: (field) => EditorView.decorations.from(field),
});

/** What a message says, under the line that it is about; its edit is a button. */
class Note extends WidgetType {
  constructor(private readonly message: Message) {
    super();
  }
  eq(other: Note): boolean {
    return JSON.stringify(other.message) === JSON.stringify(this.message);
  }
  toDOM(view: EditorView): HTMLElement {
    const note = document.createElement("div");
    note.className = `note is-${this.message.severity}`;
    const say = (text: string, name: string): void => {
      if (!text) return;
      const p = document.createElement("div");
      p.className = name;
      p.append(...withCode(sentence(text)));
      note.append(p);
    };
    say(this.message.text || this.message.title, "note-text");
    say(this.message.hint, "note-hint");
    (this.message.edits ?? []).forEach((edit, i) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...withCode(edit.label));
      if (i === 0) {
        const key = document.createElement("kbd");
        key.textContent = "Alt+Enter";
        button.append(" ", key);
      }
      button.onclick = () => {
        view.dispatch(changesOf(edit.changes, view.state));
        view.focus();
      };
      note.append(button);
    });
    return note;
  }
  ignoreEvent(): boolean {
    return true;
  }
}

/** Text in which what stands between backquotes is code. */
export function withCode(text: string): Node[] {
  return text.split("`").map((part, i, all) => {
    if (i % 2 === 0 || i === all.length - 1) return document.createTextNode(part);
    const code = document.createElement("code");
    code.textContent = part;
    return code;
  });
}

/** A message as a sentence: with a capital and a full stop. */
export function sentence(text: string): string {
  const whole = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?…`:]$/.test(whole.trim()) ? whole : `${whole}.`;
}

type Said = { messages: Message[]; notes: boolean; set: DecorationSet };

const messages = StateField.define<Said>({
  create: () => ({ messages: [], notes: true, set: Decoration.none }),
  update(value, tr) {
    let { messages, notes, set } = value;
    let anew = false;
    if (tr.docChanged) {
      set = set.map(tr.changes);
      messages = messages.map((m) => m.from < 0 ? m : ({ ...m, from: tr.changes.mapPos(m.from), to: tr.changes.mapPos(m.to) }));
    }
    for (const effect of tr.effects) {
      if (effect.is(setMessages)) [messages, anew] = [effect.value, true];
      if (effect.is(showNotes)) [notes, anew] = [effect.value, true];
    }
    if (tr.selection) anew = true;
    return anew ? { messages, notes, set: decorate(tr.state, messages, notes) } : { messages, notes, set };
  },
  provide: (field) => EditorView.decorations.from(field, (value) => value.set),
});

/** Underlines every message; the note stands under the first one and under those of the caret's line. */
function decorate(state: EditorState, all: Message[], notes: boolean): DecorationSet {
  const length = state.doc.length;
  const ranges = [];
  const caretLine = state.doc.lineAt(state.selection.main.head).number;
  const notedLines = new Set<number>();
  for (const [i, m] of all.entries()) {
    if (m.from < 0) continue; // it is about another file, and stands in the strip
    const from = Math.min(m.from, length);
    let to = Math.min(Math.max(m.to, from), length);
    if (to === from && to < state.doc.lineAt(from).to) to++;
    const line = state.doc.lineAt(from);
    if (to > from) {
      ranges.push(Decoration.mark({ class: `mark-${m.severity}` }).range(from, to));
    }
    ranges.push(Decoration.line({ class: `line-${m.severity}` }).range(line.from));
    if (notes && (i === 0 || line.number === caretLine) && !notedLines.has(line.number)) {
      notedLines.add(line.number);
      ranges.push(Decoration.widget({ widget: new Note(m), block: true, side: 1 }).range(line.to));
    }
  }
  return Decoration.set(ranges, true);
}

/** A `let` of a number that begins its line, so that it stands in no block: the part before it, its name, the number. */
const letOfNumber = /^(let\s+([\p{L}_][\p{L}\p{N}_]*)\s*=\s*)(-?\d+(?:\.\d+)?)(?![\d._])\s*[\p{L}%°]*\s*(?:#.*)?$/u;

/** A ruler under the `let` of the caret: its number follows the mark on it. */
class Ruler extends WidgetType {
  constructor(
    private readonly name: string,
    private readonly number: string,
  ) {
    super();
  }
  eq(other: Ruler): boolean {
    return other.name === this.name && other.number === this.number;
  }
  toDOM(view: EditorView): HTMLElement {
    const host = document.createElement("div");
    host.className = "let-ruler";
    const input = document.createElement("input");
    input.type = "range";
    input.oninput = () => {
      const line = view.state.doc.lineAt(view.state.selection.main.head);
      const found = letOfNumber.exec(line.text);
      if (!found) return;
      const from = line.from + found[1].length;
      view.dispatch({ changes: { from, to: from + found[3].length, insert: input.value }, userEvent: "input.ruler" });
    };
    // Escape leads back to the text.
    input.onkeydown = (event) => {
      if (event.key === "Escape") view.focus();
    };
    host.append(input);
    this.updateDOM(host);
    return host;
  }
  /** The ruler stays as long as it is while its mark is pulled, and grows when the number leaves it. */
  updateDOM(host: HTMLElement): boolean {
    const input = host.firstElementChild as HTMLInputElement;
    const value = Number(this.number);
    const decimals = this.number.split(".")[1]?.length ?? 0;
    const same = host.dataset.name === this.name && value >= Number(input.min) && value <= Number(input.max);
    if (!same) {
      input.max = String(Math.max(1, 2 * Math.abs(value)));
      input.min = value < 0 ? String(-Number(input.max)) : "0";
    }
    host.dataset.name = this.name;
    input.step = (10 ** -decimals).toFixed(decimals);
    input.value = this.number;
    input.setAttribute("aria-label", `${this.name}, on a ruler from ${input.min} to ${input.max}`);
    return true;
  }
  ignoreEvent(): boolean {
    return true;
  }
}

const ruler = StateField.define<DecorationSet>({
  create: (state) => rulerOf(state),
  update: (set, tr) => (tr.docChanged || tr.selection ? rulerOf(tr.state) : set),
  provide: (field) => EditorView.decorations.from(field),
});

function rulerOf(state: EditorState): DecorationSet {
  const { main } = state.selection;
  const line = state.doc.lineAt(main.head);
  const found = main.empty ? letOfNumber.exec(line.text) : null;
  if (!found) return Decoration.none;
  return Decoration.set(Decoration.widget({ widget: new Ruler(found[2], found[3]), block: true, side: 2 }).range(line.to));
}

function changesOf(changes: Change[], state: EditorState): TransactionSpec {
  const length = state.doc.length;
  const good = changes.filter((c) => c.from <= c.to && c.to <= length);
  return { changes: good, scrollIntoView: true, userEvent: "input.edit" };
}

/** The mark of a ruler points down to its strokes, as that of the time line does. Each browser has a name of its own for it. */
const rulerMark = ["-webkit-slider-thumb", "-moz-range-thumb"]
  .map((thumb) => `.let-ruler input::${thumb} { appearance: none; width: 12px; height: 16px; border: none; border-radius: 0; background: var(--accent); clip-path: polygon(0 0, 100% 0, 50% 100%) }`)
  .join("\n");

const theme = EditorView.theme({
  "&": { height: "100%", color: "var(--text)", backgroundColor: "var(--desk-raised)" },
  ".cm-scroller": { fontFamily: "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace", fontSize: "0.9375rem", lineHeight: "1.55" },
  ".cm-content": { caretColor: "var(--accent)", padding: "0.5rem 0" },
  "&.cm-focused": { outline: "2px solid var(--accent)", outlineOffset: "-2px" },
  ".cm-cursor": { borderLeftWidth: "2px", borderLeftColor: "var(--accent)" },
  ".cm-gutters": { backgroundColor: "transparent", color: "var(--quiet)", border: "none" },
  ".cm-activeLine": { backgroundColor: "var(--line-lit)" },
  "&.cm-focused .cm-selectionBackground, .cm-selectionBackground": { backgroundColor: "var(--select)" },
  ".cm-selectionMatch": { backgroundColor: "var(--line-lit)" },
  ".cm-matchingBracket, &.cm-focused .cm-matchingBracket": { backgroundColor: "transparent", outline: "1px solid var(--quiet)" },
  ".cm-tooltip": { backgroundColor: "var(--card)", color: "var(--text)", border: "1px solid var(--quiet)", maxWidth: "28rem" },
  ".cm-tooltip-autocomplete ul li": { padding: "0.25rem 0.5rem", minHeight: "24px" },
  ".cm-tooltip-autocomplete ul li[aria-selected]": { backgroundColor: "var(--accent)", color: "var(--on-accent)" },
  ".cm-completionDetail": { color: "inherit", fontStyle: "normal", opacity: "1", marginLeft: "1rem" },
  ".cm-panels": { backgroundColor: "var(--card)", color: "var(--text)" },
  ".cm-panels input, .cm-panels button": { font: "inherit", minHeight: "24px" },
  ".cm-button": { backgroundImage: "none", backgroundColor: "var(--desk)", color: "var(--text)", border: "1px solid var(--quiet)" },
  ".cm-textfield": { backgroundColor: "var(--desk-raised)", color: "var(--text)", border: "1px solid var(--quiet)" },
  ".cm-searchMatch": { backgroundColor: "var(--select)" },
  ".is-keyword": { color: "var(--code-keyword)", fontWeight: "600" },
  ".is-word": { color: "var(--code-word)" },
  ".is-figure": { color: "var(--code-figure)", fontStyle: "italic" },
  ".is-number, .is-unit": { color: "var(--code-number)" },
  ".is-text": { color: "var(--code-text)" },
  ".is-comment": { color: "var(--quiet)" },
  ".is-parameter": { color: "var(--code-parameter)" },
  ".is-variable": { color: "var(--text)" },
  ".is-lit": { backgroundColor: "var(--select)", boxShadow: "0 2px 0 var(--accent)" },
  ".mark-error": { textDecoration: "underline wavy var(--fault) 1.5px", textUnderlineOffset: "3px" },
  ".mark-warning": { textDecoration: "underline dashed var(--warn) 1.5px", textUnderlineOffset: "3px" },
  ".mark-note": { textDecoration: "underline dotted var(--quiet) 1.5px", textUnderlineOffset: "3px" },
  ".note": {
    fontFamily: "system-ui, sans-serif",
    fontSize: "0.9375rem",
    lineHeight: "1.4",
    // No margins: the editor measures what stands between its lines without them.
    padding: "0.35rem 0.6rem 0.45rem",
    borderLeft: "4px solid var(--quiet)",
    backgroundColor: "var(--card)",
    whiteSpace: "normal",
  },
  ".note code": { fontFamily: "ui-monospace, monospace", fontSize: "0.9em", backgroundColor: "var(--line-lit)", padding: "0 0.15em" },
  ".note kbd": { font: "0.8125rem ui-monospace, monospace", border: "1px solid var(--quiet)", padding: "0 0.3rem" },
  ".note.is-error": { borderLeftColor: "var(--fault)" },
  ".note.is-warning": { borderLeft: "4px dashed var(--warn)" },
  ".note-hint": { color: "var(--quiet)" },
  ".note button": {
    font: "inherit",
    minHeight: "28px",
    margin: "0.3rem 0.4rem 0 0",
    color: "var(--text)",
    background: "var(--desk)",
    border: "1px solid var(--quiet)",
    cursor: "pointer",
  },
  // Ten strokes, and the mark over them. No margins, as for notes.
  ".let-ruler": { padding: "0 0.6rem 0.2rem 0.25rem" },
  ".let-ruler input": {
    display: "block",
    boxSizing: "border-box",
    width: "100%",
    maxWidth: "20rem",
    height: "24px",
    margin: "0",
    appearance: "none",
    // A stroke each tenth, between the places of the mark's tip at both ends.
    background:
      "linear-gradient(var(--quiet), var(--quiet)) 6px 100% / calc(100% - 12px) 1px no-repeat, " +
      "repeating-linear-gradient(to right, var(--quiet) 0 1px, transparent 1px calc(10% - 0.1px)) 6px 100% / calc(100% - 12px) 8px no-repeat",
    cursor: "ew-resize",
  },
  ".let-ruler input:focus-visible": { outline: "2px solid var(--accent)" },
  ".page-of-word": { padding: "0.5rem 0.75rem", fontFamily: "system-ui, sans-serif", whiteSpace: "pre-wrap" },
  ".page-of-word code": { display: "block", marginTop: "0.4rem", fontFamily: "ui-monospace, monospace" },
});

/** The program's text. It stands in a shadow root: its styles need no exception from the content policy. */
export class Editor {
  readonly view: EditorView;
  private readonly extensions: Extension;
  private quiet = false;

  constructor(
    host: HTMLElement,
    private readonly hooks: EditorHooks,
  ) {
    const root = host.attachShadow({ mode: "open" });
    const parent = document.createElement("div");
    root.append(parent);
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(`:host { display: block; min-height: 0 } :host > div { height: 100% }\n${rulerMark}`);
    root.adoptedStyleSheets = [sheet];
    this.extensions = [
      lineNumbers(),
      history(),
      bracketMatching(),
      highlightActiveLine(),
      highlightSelectionMatches(),
      search({ top: true }),
      indentUnit.of("  "),
      EditorState.tabSize.of(2),
      EditorView.lineWrapping,
      EditorView.contentAttributes.of({ "aria-label": "Program. Escape and then Tab leaves it.", spellcheck: "false", autocapitalize: "off" }),
      colours,
      lit,
      messages,
      ruler,
      autocompletion({ override: [(context) => this.complete(context)], icons: false }),
      hoverTooltip((_, at) => this.hover(at), { hoverTime: 350 }),
      Prec.highest(
        keymap.of([
          { key: "Alt-ArrowUp", run: () => hooks.stepNumber(1) },
          { key: "Alt-ArrowDown", run: () => hooks.stepNumber(-1) },
          { key: "Shift-Alt-ArrowUp", run: () => hooks.stepNumber(10) },
          { key: "Shift-Alt-ArrowDown", run: () => hooks.stepNumber(-10) },
          { key: "Alt-Enter", run: () => this.carryOut() },
          { key: "F8", run: () => this.nextMessage(1) },
          { key: "Shift-F8", run: () => this.nextMessage(-1) },
        ]),
      ),
      keymap.of([...completionKeymap, ...searchKeymap, ...historyKeymap, ...defaultKeymap, indentWithTab]),
      theme,
      EditorView.updateListener.of((update) => {
        if (update.docChanged && !this.quiet) hooks.changed(update.state.doc.toString(), true);
        if (update.selectionSet || update.docChanged) hooks.caret(update.state.selection.main.head);
      }),
    ];
    this.view = new EditorView({ state: EditorState.create({ extensions: this.extensions }), parent, root });
  }

  get text(): string {
    return this.view.state.doc.toString();
  }

  get caret(): number {
    return this.view.state.selection.main.head;
  }

  /** Another program, with the changes that may be undone, if they were kept. */
  load(text: string, kept: unknown): void {
    let state: EditorState | null = null;
    if (kept && typeof kept === "object" && (kept as { doc?: unknown }).doc === text) {
      try {
        state = EditorState.fromJSON(kept, { extensions: this.extensions }, { history: historyField });
      } catch {
        state = null; // what was kept is of another version: the text itself is whole
      }
    }
    this.quiet = true;
    this.view.setState(state ?? EditorState.create({ doc: text, extensions: this.extensions }));
    this.quiet = false;
    this.hooks.changed(text, false);
  }

  /** A text that came from elsewhere replaces this one; that too can be undone. */
  replace(text: string): void {
    if (text === this.text) return;
    this.view.dispatch({ changes: { from: 0, to: this.view.state.doc.length, insert: text }, userEvent: "input.replace" });
  }

  /** What can be undone, as it is kept between sessions. */
  undoable(): unknown {
    return this.view.state.toJSON({ history: historyField });
  }

  /** What is known of the text before it is drawn. */
  showChecked(meanings: Colour[], all: Message[]): void {
    this.view.dispatch({ effects: [setColours.of(meanings), setMessages.of(all)] });
  }

  showMessages(all: Message[]): void {
    if (!all.length && !this.view.state.field(messages).messages.length) return;
    this.view.dispatch({ effects: setMessages.of(all) });
  }

  /** Notes between the lines are held back while somebody types, so that the text stands still. */
  showNotes(shown: boolean): void {
    if (this.view.state.field(messages).notes !== shown) this.view.dispatch({ effects: showNotes.of(shown) });
  }

  light(range: [number, number] | null, scroll = false): void {
    const effects: StateEffect<unknown>[] = [setLit.of(range)];
    if (scroll && range && range[1] <= this.view.state.doc.length) effects.push(EditorView.scrollIntoView(range[0], { y: "nearest", yMargin: 40 }));
    this.view.dispatch({ effects });
  }

  apply(changes: Change[]): void {
    this.view.dispatch(changesOf(changes, this.view.state));
  }

  /** Puts a line in below that of the caret, as deep as it, and the caret at its end. */
  insertLine(text: string): void {
    const { state } = this.view;
    const line = state.doc.lineAt(this.caret);
    const indent = /^\s*/.exec(line.text)![0];
    const blank = line.text.trim() === "";
    const insert = (blank ? "" : "\n") + text.split("\n").map((l) => indent + l).join("\n");
    const from = blank ? line.from : line.to;
    this.view.dispatch({ changes: { from, to: line.to, insert }, selection: { anchor: from + insert.length }, scrollIntoView: true, userEvent: "input.word" });
    this.view.focus();
  }

  goTo(at: number): void {
    this.view.dispatch({ selection: { anchor: Math.min(at, this.view.state.doc.length) }, scrollIntoView: true });
    this.view.focus();
  }

  /** The first edit that the message at the caret offers, or else the first message that offers one. */
  carryOut(): boolean {
    const { state } = this.view;
    const all = state.field(messages).messages.filter((m) => m.edits?.length);
    const line = state.doc.lineAt(this.caret).number;
    const chosen = all.find((m) => state.doc.lineAt(Math.min(m.from, state.doc.length)).number === line) ?? all[0];
    if (!chosen) return false;
    this.apply(chosen.edits![0].changes);
    return true;
  }

  /** Where a line of the text begins, after its room, and ends; lines are counted from 1. */
  lineAt(number: number): [number, number] | null {
    const { doc } = this.view.state;
    if (number < 1 || number > doc.lines) return null;
    const { from, to, text } = doc.line(number);
    return [from + text.length - text.trimStart().length, to];
  }

  nextMessage(by: 1 | -1): boolean {
    const all = [...this.view.state.field(messages).messages].sort((a, b) => a.from - b.from);
    if (!all.length) return false;
    const at = this.caret;
    const next = by > 0 ? (all.find((m) => m.from > at) ?? all[0]) : (all.findLast((m) => m.from < at) ?? all[all.length - 1]);
    this.goTo(next.from);
    return true;
  }

  private async complete(context: CompletionContext): Promise<CompletionResult | null> {
    const word = context.matchBefore(/[\p{L}\p{N}_.]+/u);
    // A number is complete as it is: Enter after it begins a row, and puts no unit in.
    if (!context.explicit && (!word || /^[\p{N}.]/u.test(word.text))) return null;
    const answer = await this.hooks.ask("complete", context.pos);
    if (!answer?.items?.length || context.aborted) return null;
    return {
      from: answer.from ?? word?.from ?? context.pos,
      to: answer.to ?? context.pos,
      filter: true,
      validFor: /^[\p{L}\p{N}_]*$/u,
      options: answer.items.map((item, i) => ({ label: item.label, apply: item.insert || item.label, detail: item.detail, boost: -i / 100 })),
    };
  }

  private async hover(at: number) {
    const answer = await this.hooks.ask("hover", at);
    if (!answer?.title && !answer?.body?.length) return null;
    return {
      pos: answer.from ?? at,
      end: answer.to ?? at,
      above: true,
      create() {
        const dom = document.createElement("div");
        dom.className = "page-of-word";
        const title = document.createElement("strong");
        title.textContent = answer.title ?? "";
        dom.append(title);
        for (const paragraph of answer.body ?? []) {
          const p = document.createElement("div");
          p.textContent = paragraph;
          dom.append(p);
        }
        if (answer.example) {
          const code = document.createElement("code");
          code.textContent = answer.example;
          dom.append(code);
        }
        return { dom };
      },
    };
  }
}
