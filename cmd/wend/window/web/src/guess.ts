import { make } from "./cards.ts";
import { withCode } from "./editor.ts";
import type { Guess } from "./messages.ts";
import { Sheet } from "./sheet.ts";

export type GuessHooks = {
  /** One was chosen, or none: the program may draw. */
  guessed(chosen: number): void;
};

/** What is asked before a program draws, or, after it was, what there is to say. */
export function showGuess(guess: Guess, chosen: number | null, hooks: GuessHooks): HTMLElement {
  const box = make("div", { class: "guess", role: "group", "aria-label": "Your guess" });
  if (guess.ask) box.append(make("p", {}, ...withCode(guess.ask)));
  const area = common(guess);
  guess.answers.forEach((answer, i) => {
    const content: Node[] = [];
    if (answer.picture.length) {
      const canvas = make("canvas", { "aria-hidden": "true" }) as unknown as HTMLCanvasElement;
      content.push(canvas);
      // It is drawn once it has a size.
      requestAnimationFrame(() => canvas.isConnected && Sheet.thumbnail(canvas, answer.picture.flatMap(([x, y]) => [x - area.left, y - area.bottom]), area));
    }
    const words = make("span", { class: "words" }, ...withCode(answer.text));
    content.push(words);
    if (chosen === null) {
      const button = make("button", { type: "button", class: "answer" }, ...content);
      button.onclick = () => hooks.guessed(i);
      box.append(button);
      return;
    }
    const marks = [answer.right ? "✓ so it is" : "", i === chosen ? "your guess" : ""].filter(Boolean);
    if (marks.length) words.append(make("small", { text: marks.join(" · ") }));
    box.append(make("div", { class: `answer${answer.right ? " right" : ""}` }, ...content));
  });
  if (chosen === null) {
    const skip = make("button", { type: "button", class: "quiet", text: "Draw it without a guess" });
    skip.onclick = () => hooks.guessed(-1);
    box.append(skip);
  } else {
    box.append(
      make("p", { class: "told" }, ...withCode(guess.told)),
      make("p", { class: "card-note", text: "Here the program runs by itself, each time that you change it. Alt+P draws the line once more." }),
    );
  }
  return box;
}

/** What is said of a guess, for those who listen. */
export function saidOf(guess: Guess, chosen: number): string {
  const right = guess.answers.find((a) => a.right)!;
  const plain = (text: string): string => text.replaceAll("`", "");
  const how = chosen < 0 ? "" : guess.answers[chosen].right ? "So it is. " : `It is this: ${plain(right.text)}. `;
  return how + plain(guess.told);
}

/** The box around all pictures, so that they are shown at one scale. */
function common(guess: Guess): { left: number; bottom: number; width: number; height: number; margin: number; lineWidth: number } {
  const points = guess.answers.flatMap((a) => a.picture);
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const left = Math.min(...xs);
  const bottom = Math.min(...ys);
  return { left, bottom, width: Math.max(...xs) - left, height: Math.max(...ys) - bottom, margin: 0, lineWidth: 1 };
}
