// The window: a sheet, a program, and a strip below. This part only connects
// the others.
import { give, showExport, showKeys, showSteps, showVariations, showWords, type Shown } from "./asked.ts";
import { Cards, make } from "./cards.ts";
import { Editor, sentence as sentenceOf } from "./editor.ts";
import { Keep } from "./keep.ts";
import { Keys, type Command } from "./keys.ts";
import { guessFirst, Lessons } from "./lessons.ts";
import { Machine } from "./machine.ts";
import { pullMark } from "./machine-mark.ts";
import type { Message } from "./messages.ts";
import { Measuring } from "./measuring.ts";
import { attend, carrier, session, sheet } from "./opening.ts";
import { Pointing } from "./pointing.ts";
import { preparePrint } from "./print.ts";
import type { SessionHooks } from "./session.ts";
import { inWords, TimeLine } from "./timeline.ts";
import { Wall } from "./wall.ts";

const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

const sentence = byId("sentence");
const spoken = byId("spoken");
const told = byId("told");
const block = byId<HTMLButtonElement>("block");
const numbers = byId("numbers");

const cards = new Cards(byId("card"));
let shownSheet = 0;
let typing = 0;
let spokenLast = "";

/** What stands in the strip until something else does. */
function say(text: string, severity = ""): void {
  sentence.textContent = text;
  sentence.className = severity && `is-${severity}`;
}

/** What happened, for those who listen, and in the strip, where it may be shorter. */
function announce(text: string, severity = "", shown = text): void {
  say(shown, severity);
  if (text === spokenLast) spoken.textContent = "";
  spokenLast = text;
  spoken.textContent = text;
}

const drawing: SessionHooks = {
  checked(checked) {
    editor.showChecked(checked.colours ?? [], checked.messages ?? []);
    measuring.caret(editor.caret);
    report(checked.messages ?? [], false);
  },
  arrives(of, points, from, pieces) {
    if (of === shownSheet && !lessons.holds) sheet.arrives(points, from, pieces);
  },
  pictured(picture) {
    shownSheet = Math.min(shownSheet, picture.lines.length - 1);
    showSheet();
    const messages = picture.facts.messages ?? [];
    if (picture.facts.id === session.newest) editor.showMessages(messages);
    report(messages, true);
  },
  failed(drawn) {
    editor.showMessages(drawn.messages ?? []);
    report(drawn.messages ?? [], false);
  },
  progress: (done, of) => say(`Working: ${Math.round((100 * done) / Math.max(1, of))} %`),
  said(text, hint, id) {
    keep.refused(id);
    announce(hint ? `${text} ${hint}` : text, "error");
  },
};

/** The first message, or that all is well. */
function report(messages: Message[], drawn: boolean): void {
  sheet.marks.faults = messages.filter((m) => m.place && m.sheet === shownSheet).map((m) => ({ place: m.place!, error: m.severity === "error" }));
  sheet.touch("marks");
  const worst = messages.find((m) => m.severity === "error") ?? messages.find((m) => m.severity === "warning");
  if (worst) {
    const kept = worst.severity === "error" && !drawn && session.picture ? " The sheet shows the last picture that could be drawn." : "";
    const edit = worst.edits?.length ? " Alt+Enter carries out the edit." : "";
    later(() => announce(`${worst.from >= 0 ? `Line ${worst.line}: ` : ""}${sentenceOf(worst.text || worst.title)}${edit}${kept}`, worst.severity));
  } else if (drawn) {
    clearTimeout(speaking);
    if (sentence.className) say("");
  }
}

let speaking = 0;
/** Speaks once the text has stood still: half-written words are no news. */
function later(act: () => void): void {
  clearTimeout(speaking);
  speaking = window.setTimeout(act, performance.now() - typing < 600 ? 600 : 0);
}

function showSheet(): void {
  const picture = session.picture;
  if (lessons.holds || !picture) {
    sheet.show(null, picture?.facts.page ?? sheet.page);
    time.show(null);
    told.textContent = lessons.holds ? "Nothing is drawn yet: the lesson asks for a guess first." : "Nothing is drawn yet.";
    block.textContent = keep.path;
    block.hidden = lessons.holds || !keep.path;
    numbers.hidden = true;
    return;
  }
  const line = picture.lines[shownSheet];
  const facts = picture.facts.sheets![shownSheet];
  sheet.show(line, picture.facts.page);
  time.show(line);
  const earlier = picture.earlier ? " · from before the last change" : "";
  told.textContent = facts.words + (earlier && " This is the picture from before the last change.");
  const many = picture.lines.length > 1 ? ` · sheet ${shownSheet + 1} of ${picture.lines.length}` : "";
  block.textContent = `${keep.path || "untitled"} · ${Math.round(facts.lineMM).toLocaleString("en")} mm · ${inWords(facts.seconds)}${many}${earlier}`;
  block.hidden = false;
  numbers.hidden = picture.lines.length < 2;
  if (numbers.children.length !== picture.lines.length) {
    numbers.replaceChildren(
      ...picture.lines.map((_, i) => {
        const button = make("button", { type: "button", text: String(i + 1), "aria-label": `Sheet ${i + 1}` });
        button.onclick = () => toSheet(i);
        return button;
      }),
    );
  }
  [...numbers.children].forEach((b, i) => b.setAttribute("aria-current", String(i === shownSheet)));
  pointing.fresh();
  measuring.caret(editor.caret);
}

/** Another program is shown: nothing on the sheet is of it. */
function clearSheet(): void {
  shownSheet = 0;
  sheet.marks.faults = [];
  sheet.touch("marks");
  showSheet();
}

function toSheet(i: number): void {
  const count = session.picture?.lines.length ?? 0;
  if (i < 0 || i >= count || i === shownSheet) return;
  shownSheet = i;
  time.stop();
  time.set(Infinity);
  showSheet();
  announce(`Sheet ${i + 1} of ${count}. ${told.textContent}`);
}

let evaluating = false;
function evaluate(): void {
  evaluating = false;
  session.program(keep.path, editor.text);
  tellWall();
}

/** A window that follows this one shows no more than it does. */
function tellWall(): void {
  if (!lessons.holds) wall.tell(keep.path, editor.text);
}

const editor = new Editor(byId("program"), {
  changed(_, byHand) {
    // Changes of one turn of the browser are one program; it is sent before the
    // browser paints the key.
    if (!evaluating) queueMicrotask(evaluate);
    evaluating = true;
    lessons.changed();
    if (!byHand) return;
    typing = performance.now();
    keep.changed();
    editor.showNotes(false);
    clearTimeout(notesTimer);
    notesTimer = window.setTimeout(() => editor.showNotes(true), 700);
  },
  caret(at) {
    pointing.caret(at);
    measuring.caret(at);
  },
  ask: (what, at, name) => session.ask(what, keep.path, editor.text, at, name),
  stepNumber: (by) => measuring.step(by),
});
let notesTimer = 0;

const keep = new Keep(() => carrier, editor, cards, {
  say: announce,
  saved(path) {
    // What a lesson has just said is worth more.
    if (performance.now() - lessonSaid > 6000) announce(`Saved: ${path}`);
  },
  opened(path, text, renamed) {
    shownSheet = 0;
    time.stop();
    time.set(Infinity);
    announce(`Opened: ${path}`);
    const another = session.another(path, renamed);
    lessons.opened(path, text, renamed);
    if (another) clearSheet();
    else if (lessons.holds) showSheet();
  },
  listed: (files) => lessons.known(files.done ?? []),
  small: (piece, wanted) => session.small(piece, wanted),
});

let lessonSaid = -Infinity;
const lessons = new Lessons(byId("lesson"), session, editor, sheet, {
  say(text, shown) {
    lessonSaid = performance.now();
    announce(text, "", shown);
  },
  held() {
    showSheet();
    tellWall();
  },
  draws(told, shown) {
    lessonSaid = performance.now();
    announce(told, "", shown);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    toldAfter = shown;
    time.play();
  },
  whole() {
    time.stop();
    time.set(Infinity);
  },
  done: (tasks) => keep.done(tasks),
  open: (piece) => keep.open({ piece }),
  path: () => keep.path,
  count: () => keep.files?.gallery?.filter((piece) => piece.kind === "lesson").length ?? 0,
});

const pointing = new Pointing(byId("sheet"), sheet, session, editor, () => shownSheet, () => keep.path, say);
const measuring = new Measuring(byId<HTMLButtonElement>("knob"), sheet, session, editor, () => shownSheet, () => keep.path, say);

const time = new TimeLine(byId("time"), {
  moved(seconds) {
    sheet.showTime(seconds);
    sheet.marks.stylus = seconds === Infinity || !sheet.line ? null : sheet.line.at(seconds).place;
    sheet.touch("marks");
    if (seconds !== Infinity) {
      say(toldAt(seconds));
      pointing.lightPiece(sheet.line ? sheet.line.at(seconds).piece : -1);
    } else {
      pointing.lightPiece(-1);
    }
  },
  told: (seconds) => (seconds === Infinity ? `All of it, ${inWords(time.duration)}` : toldAt(seconds)),
  playing(on) {
    if (!toldAfter) announce(on ? `Plays at ${time.speed} times the machine's speed.` : "Stands.");
    else if (!on) {
      say(toldAfter);
      toldAfter = "";
    }
  },
});
/** What is said of a guess: it stands in the strip when the line has been drawn. */
let toldAfter = "";

function toldAt(seconds: number): string {
  const line = sheet.line;
  if (!line) return "";
  const { mm, piece } = line.at(seconds);
  return `${inWords(seconds)} · ${Math.round(mm)} mm · ${pointing.statementOf(piece)}`;
}

const machine = new Machine(
  byId("machine"),
  () => carrier,
  (toDraw) => {
    if (toDraw && lessons.holds) {
      announce(`${guessFirst} Nothing is sent.`);
      return null;
    }
    const facts = session.picture?.facts;
    if (toDraw && (facts?.id !== session.newest || facts.messages?.some((m) => m.severity === "error"))) {
      announce("The program as it stands draws nothing: its first message says why. Nothing is sent.");
      return null;
    }
    return { path: keep.path, text: editor.text, sheet: shownSheet };
  },
  (path) => keep.open({ path }),
  announce,
);

let followed = "";
const wall = new Wall(cards, (path, text) => {
  if (path !== followed) {
    session.picture = null;
    clearSheet();
  }
  followed = path;
  if (text === editor.text && session.picture) return;
  keep.path = "";
  document.title = `${path} · wend`;
  editor.load(text, null);
});

const shown: Shown = { session, cards, editor, sheet, path: () => keep.path, say: announce };
const print = (): void => preparePrint(byId("print"), sheet, told.textContent ?? "");
addEventListener("beforeprint", print);

async function asDrawn(): Promise<void> {
  if (sheet.asDrawnShown) {
    sheet.showAsDrawn(null);
    announce("Only the line as the program says it.");
    return;
  }
  const enlarged = 10;
  const points = await session.asDrawn(enlarged);
  if (!points) return;
  sheet.showAsDrawn(points);
  announce(`The dashed line is what the machine draws, its error enlarged ${enlarged} times.`);
}

async function rename(): Promise<void> {
  const at = editor.caret;
  const word = editor.view.state.wordAt(at);
  if (!word) {
    announce("The caret stands on no name; a name is renamed where it stands.");
    return;
  }
  const old = editor.view.state.sliceDoc(word.from, word.to);
  cards.ask("rename", `Another name for ${old}`, "Its new name, everywhere in this program", old, (name) => {
    void change("rename", at, name, `Renamed ${old} to ${name}.`);
  });
}

/** An edit of the whole program that the engine works out. */
async function change(what: string, at: number, name: string | undefined, done: string): Promise<void> {
  const text = editor.text;
  const answer = await session.ask(what, keep.path, text, at, name);
  if (!answer) return;
  if (editor.text !== text) {
    announce("The program changed meanwhile; nothing was done.");
    return;
  }
  if (!answer.changes?.length) {
    announce("Nothing to change.");
    return;
  }
  editor.apply(answer.changes);
  announce(done);
}

/** What shows the picture, but not before a lesson's guess. */
function guessed(show: () => void): () => void {
  return () => (lessons.holds ? announce(guessFirst) : show());
}

const sees = "See";
const writes = "Write";
const keeps = "Keep";
const draws = "Draw";
const learns = "Learn";
const commands: Command[] = [
  { code: "F1", key: "F1", group: sees, does: "These keys", run: () => (cards.current === "keys" ? cards.close() : showKeys(cards, commands)) },
  { code: "Space", key: "Space", group: sees, does: "Play, and stand", run: () => time.toggle() },
  { code: "KeyP", key: "P", group: sees, does: "Play, and stand", run: () => time.toggle() },
  { code: "KeyX", key: "X", group: sees, does: "Play at 1, 10 or 100 times the machine's speed", run: () => announce(`${time.nextPace()} times the machine's speed.`) },
  { code: "KeyS", key: "S", group: sees, does: "Steps, statement by statement, with the values", run: () => startSteps() },
  { code: "KeyD", key: "D", group: sees, does: "As drawn: the machine's line over the program's", run: guessed(() => void asDrawn()) },
  { code: "KeyT", key: "T", group: sees, does: "Tell the drawing in words", run: () => announce(told.textContent ?? "") },
  { code: "PageDown", key: "Page Down", group: sees, does: "The next sheet", run: () => toSheet(shownSheet + 1) },
  { code: "PageUp", key: "Page Up", group: sees, does: "The sheet before", run: () => toSheet(shownSheet - 1) },
  { code: "KeyL", key: "L", group: sees, does: "Large: the sheet alone, for a wall", run: () => announce(wall.toggle()) },
  { code: "KeyB", key: "B", group: sees, does: "Beside: the large sheet in a second window", run: guessed(() => announce(wall.second(keep.path, editor.text))) },
  { code: "KeyG", key: "G", group: sees, does: "Go between the sheet, the program and a lesson", run: () => goBetween() },
  { code: "KeyW", key: "W", group: writes, does: "Words: each with its picture and a line that works", run: () => showWords(shown) },
  { code: "KeyV", key: "V", group: writes, does: "Variations: twelve other seeds", run: guessed(() => showVariations(shown)) },
  { code: "KeyF", key: "F", group: writes, does: "Format the program", run: () => void change("format", 0, undefined, "Formatted.") },
  { code: "KeyA", key: "A", group: writes, does: "Another name for what the caret is on", run: () => void rename() },
  { code: "", key: "Alt+Enter", group: writes, does: "Carry out the edit that a message offers", run: () => editor.carryOut(), listed: true },
  { code: "", key: "F8", group: writes, does: "The next message", run: () => editor.nextMessage(1), listed: true },
  { code: "", key: "Alt+↑ ↓", group: writes, does: "Step the number at the caret; with Shift by ten", run: () => editor.view.focus(), listed: true },
  { code: "KeyC", key: "C", group: learns, does: "Check the program against the task; again, when it is solved: on to the next", run: () => void lessons.check() },
  { code: "KeyH", key: "H", group: learns, does: "A hint, then another one", run: () => lessons.hint() },
  { code: "KeyK", key: "K", group: learns, does: "The sketch of the task, or your line alone", run: () => lessons.toggleSketch() },
  { code: "KeyO", key: "O", group: keeps, does: "Open: files, gallery, lessons", run: () => keep.show() },
  { code: "KeyN", key: "N", group: keeps, does: "New program", run: () => keep.askNew() },
  { code: "KeyR", key: "R", group: keeps, does: "Rename the file", run: () => keep.askRename() },
  { code: "KeyE", key: "E", group: keeps, does: "Export: PNG, SVG, GIF, instructions, print", run: () => showExport(shown, lessons.holds ? guessFirst : "", () => window.print()) },
  { code: "", key: "Ctrl+P", group: keeps, does: "Print at true size", run: () => window.print(), listed: true },
  { code: "", key: "Ctrl+Z", group: keeps, does: "Undo; Ctrl+Y does it again", run: () => editor.view.focus(), listed: true },
  { code: "KeyM", key: "M", group: draws, does: "Machine: connect, place, draw, hold, stop", run: () => machine.open() },
  { code: "", key: "Esc", group: draws, does: "Hold, while the machine moves", run: () => machine.moving && machine.key("hold"), listed: true },
];

new Keys(commands, (event) => {
  if (event.key !== "Escape" || !machine.moving) return false;
  machine.key("hold");
  return true;
});

function startSteps(): void {
  time.stop();
  const piece = time.at === Infinity || !sheet.line ? 0 : sheet.line.piecesAt(time.at);
  showSteps(
    shown,
    {
      step(step) {
        if (!step) {
          editor.light(null);
          time.set(Infinity);
          return;
        }
        if (step.sheet !== shownSheet && session.picture && step.sheet < session.picture.lines.length) {
          shownSheet = step.sheet;
          showSheet();
        }
        time.set(step.piece > 0 && sheet.line ? sheet.line.seconds[Math.min(step.piece, sheet.line.pieces) - 1] : 0);
        // After the time, which lights up the statement of the piece before.
        editor.light(step.from >= 0 ? [step.from, step.to] : null, true);
      },
    },
    piece,
  );
}

function goBetween(): void {
  const active = document.activeElement;
  if (active?.closest("#sheet")) editor.view.focus();
  else if (active?.closest("#program") && lessons.shown) lessons.focus();
  else byId("sheet").focus();
}

byId("keys").onclick = () => showKeys(cards, commands);
block.onclick = () => keep.show();
pullMark(byId("sheet"), sheet, machine);
byId("sheet").addEventListener("dblclick", (event) => {
  if (machine.standing && !(event.target as Element).closest("#card")) {
    carrier.send({ type: "stands", at: sheet.mm(event.clientX, event.clientY) });
  }
});

editor.view.focus();
attend({
  ...drawing,
  reply(message) {
    if (!wall.follows && keep.reply(message)) {
      if (message.type === "opened") machine.refresh();
      return;
    }
    if (message.type === "machine") {
      sheet.marks.machine = message;
      sheet.touch("marks");
      sheet.touch("glow");
      machine.state(message);
    } else if (message.type === "left") {
      sheet.marks.left = message.drawn?.length ? message : null;
      sheet.touch("glow");
    } else if (message.type === "used") {
      evaluate();
      announce(`${message.path} has changed, and what is drawn with it is drawn anew.`);
    } else if (message.type === "say") machine.say(message);
  },
  state(state) {
    if (state === "open") {
      say("");
      if (wall.follows) wall.ask();
      else keep.begin();
      if (session.newest) evaluate();
      return;
    }
    session.giveUp();
    announce(
      state === "lost"
        ? "The way to wend is interrupted; it is tried again. What you wrote stays here."
        : "wend has ended or refuses this window. What you wrote stays here: copy it, or save it with Alt+E, then start wend open again.",
      "error",
    );
  },
  keepElsewhere: (name, text) => give(new TextEncoder().encode(text), name),
});
