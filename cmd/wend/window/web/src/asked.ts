// What is asked for by a key and lies on a card: words, variations, steps, ways
// to save, and the keys themselves.
import { make, whenSeen, type Cards } from "./cards.ts";
import type { Editor } from "./editor.ts";
import type { Command } from "./keys.ts";
import type { Step } from "./messages.ts";
import type { Session } from "./session.ts";
import { Sheet } from "./sheet.ts";

export type Shown = {
  session: Session;
  cards: Cards;
  editor: Editor;
  sheet: Sheet;
  path(): string;
  say(text: string): void;
};

export function showKeys(cards: Cards, commands: Command[]): void {
  const titles = [...new Set(commands.map((c) => c.group))];
  const groups = titles.map((title) => ({
    title,
    rows: commands
      .filter((c) => c.group === title)
      .map((c) => ({
        name: c.key,
        content: [make("span", { class: "words", text: c.does })],
        key: c.key,
        act: () => {
          cards.close();
          c.run();
        },
      })),
  }));
  const body = cards.open("keys", "Keys");
  cards.list(body, "Search what can be done", groups, "Alt and the letter works everywhere; the letter alone when the sheet or the time line has the keyboard. Enter here does what is chosen.");
}

export function showWords({ session, cards, editor, say }: Shown): void {
  const body = cards.open("words", "Words");
  body.append(make("p", { class: "card-note", text: "Looking them up…" }));
  session.wordCard((words) => {
    if (cards.current !== "words") return;
    body.replaceChildren();
    const pictures = new Map<Element, () => void>();
    const groups = (words.groups ?? []).map((group) => ({
      title: group.title,
      rows: (group.words ?? []).map((word) => {
        const canvas = make("canvas", { "aria-hidden": "true" });
        const points = word.picture?.flat() ?? [];
        if (points.length) pictures.set(canvas, () => Sheet.thumbnail(canvas, points, null));
        return {
          name: [word.name, ...(word.also ?? [])].join(" "),
          content: [canvas, make("span", { class: "words" }, make("strong", { text: word.name }), document.createTextNode(` ${word.says}`), make("code", { text: word.line }))],
          act: () => {
            cards.close();
            editor.insertLine(word.line);
            say(`Put in: ${word.line.split("\n")[0]}`);
          },
        };
      }),
    }));
    cards.list(body, "Search by what you want to do", groups, "", words.none ?? {});
    whenSeen(pictures);
  });
}

export function showVariations({ session, cards, editor, sheet, path, say }: Shown): void {
  const text = editor.text;
  const range = session.checked?.seeds?.[0];
  const now = range ? Number(text.slice(...range)) : 1;
  const seeds = Array.from({ length: 12 }, (_, i) => (Number.isInteger(now) ? now : 0) + i + 1);
  const body = cards.open("variations", "Variations: twelve other seeds", null, true);
  const grid = make("div", { class: "seeds" });
  body.append(grid);
  const canvases = new Map<number, HTMLCanvasElement>();
  for (const seed of seeds) {
    const canvas = make("canvas", { "aria-hidden": "true" });
    canvases.set(seed, canvas);
    const button = make("button", { type: "button" }, canvas, make("span", { text: `seed ${seed}` }));
    button.onclick = () => {
      cards.close();
      if (range && editor.text === text) editor.apply([{ from: range[0], to: range[1], insert: String(seed) }]);
      else editor.apply([{ from: 0, to: 0, insert: `seed ${seed}\n` }]);
      say(`Wrote seed ${seed}.`);
    };
    grid.append(button);
  }
  grid.querySelector("button")!.focus();
  grid.onkeydown = (event) => {
    const buttons = [...grid.querySelectorAll("button")];
    const columns = getComputedStyle(grid).gridTemplateColumns.split(" ").length;
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -columns, ArrowDown: columns }[event.key];
    if (!step) return;
    event.preventDefault();
    buttons[buttons.indexOf(document.activeElement as HTMLButtonElement) + step]?.focus();
  };
  session.variations(path(), text, seeds, (seed, points) => {
    const canvas = canvases.get(seed);
    if (canvas?.isConnected) Sheet.thumbnail(canvas, points, sheet.page);
  });
}

export type StepHooks = { step(step: Step | null): void };

/** Walks through the program statement by statement, forward and back. */
export function showSteps({ session, cards, editor, path }: Shown, hooks: StepHooks, chosenPiece: number): void {
  const text = editor.text;
  const block = 200;
  const known = new Map<number, Step>();
  let of = Infinity;
  let at = 0;
  const body = cards.open("steps", "Steps", () => hooks.step(null));
  const count = make("p", { role: "status" });
  const statement = make("pre", {});
  const values = make("table", { class: "values" });
  const button = (label: string, by: number): HTMLButtonElement => {
    const b = make("button", { type: "button", text: label });
    b.onclick = () => void go(at + by);
    return b;
  };
  const next = button("Forward (→)", 1);
  body.append(count, make("div", { class: "choices" }, button("Back (←)", -1), next), statement, values);
  next.focus();

  const fetch = async (from: number): Promise<void> => {
    let answer = await session.steps(path(), text, from, block);
    // A text that was just being drawn ended the request; then it is made again.
    for (let tries = 0; !answer && tries < 5 && cards.current === "steps"; tries++) {
      await new Promise((done) => setTimeout(done, 150));
      answer = await session.steps(path(), text, from, block);
    }
    if (!answer) return;
    of = answer.of;
    (answer.steps ?? []).forEach((step, i) => known.set(from + i, step));
  };
  const go = async (to: number): Promise<void> => {
    at = Math.max(0, Math.min(to, of - 1));
    if (!known.has(at)) await fetch(Math.max(0, Math.floor(at / block) * block));
    const step = known.get(at);
    if (cards.current !== "steps") return;
    if (!step) {
      count.textContent = "This program has no steps to show; its first message says why.";
      return;
    }
    count.textContent = `Step ${at + 1} of ${of}`;
    statement.textContent = text.slice(step.from, step.to).split("\n")[0];
    values.replaceChildren(make("caption", { class: "unseen", text: "Values of the variables" }));
    for (const [name, value] of step.values ?? []) values.append(make("tr", {}, make("th", { scope: "row", text: name }), make("td", { text: value })));
    hooks.step(step);
  };
  body.onkeydown = (event) => {
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, PageDown: at + 10, PageUp: at - 10, Home: 0, End: of - 1 }[event.key];
    if (to === undefined || !Number.isFinite(to)) return;
    event.preventDefault();
    void go(to);
  };
  // From the piece that is shown: the first step that comes to it.
  void (async () => {
    let from = 0;
    if (chosenPiece > 0) {
      for (; from < Math.min(of, 100 * block); from += block) {
        await fetch(from);
        const found = Array.from({ length: block }, (_, i) => from + i).find((i) => (known.get(i)?.piece ?? -1) >= chosenPiece);
        if (found !== undefined) {
          from = found;
          break;
        }
      }
    }
    await go(from);
  })();
}

/** Ways to save what is shown. While the picture is held back there is a reason why, and only the program. */
export function showExport({ session, cards, editor, path, say }: Shown, held: string, print: () => void): void {
  const kinds: [kind: string, does: string][] = [
    ["png", "PNG, a picture of dots"],
    ["svg", "SVG, a picture of lines, in mm"],
    ["gif", "GIF, a picture that draws itself"],
    ["gcode", "Instructions for the machine"],
    ["wend", "The program itself"],
  ];
  const rows = kinds.filter(([kind]) => !held || kind === "wend").map(([kind, does]) => ({
    name: kind,
    content: [make("span", { class: "words", text: does })],
    act: async () => {
      cards.close();
      if (kind === "wend") {
        give(new TextEncoder().encode(editor.text), path().split("/").pop() || "drawing.wend");
        return;
      }
      say(`Making the ${kind === "gcode" ? "instructions" : kind.toUpperCase()}…`);
      const file = await session.export(kind, path(), editor.text);
      if (!file) return;
      give(file.content, file.name);
      say(`Gave ${file.name} to the browser's downloads.`);
    },
  }));
  if (!held) rows.push({
    name: "print",
    content: [make("span", { class: "words", text: "Print at true size" })],
    act: async () => {
      cards.close();
      print();
    },
  });
  cards.list(cards.open("export", "Save as"), "Search the kinds", [{ title: "Kinds", rows }], held);
  if (held) say(held);
}

/** Hands a file to the browser to keep. */
export function give(content: Uint8Array, name: string): void {
  const url = URL.createObjectURL(new Blob([content as BlobPart]));
  const link = make("a", { href: url, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
