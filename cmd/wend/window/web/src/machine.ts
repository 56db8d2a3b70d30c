import type { Carrier } from "./carrier.ts";
import { make } from "./cards.ts";
import type { MachineState, Say } from "./messages.ts";
import { inWords } from "./timeline.ts";

const states: Record<MachineState["state"], string> = {
  none: "No machine is connected.",
  connected: "Connected; it stands still.",
  asking: "It waits for an answer.",
  armed: "Answered; it may move.",
  moving: "It moves. Esc holds it, wherever the keyboard is.",
  held: "It is held.",
  stopped: "It is stopped.",
};

const certainties: Record<MachineState["certainty"], string> = {
  confirmed: "The stylus stands where it is marked: confirmed.",
  assumed: "The stylus probably stands where it is marked: assumed, not confirmed.",
  lost: "Where the stylus stands is not known.",
};

/**
 * The conversation with a machine. Its words come from the process, and so does
 * every decision: this only shows them and sends what a person answers.
 */
export class Machine {
  now: MachineState = { type: "machine", state: "none", name: "", certainty: "lost", at: null, drawn: 0, queued: 0, of: 0, seconds: 0, held_by_other: false };
  private readonly says = make("ul", { class: "says", tabindex: "0", "aria-label": "What the machine says" });
  private readonly acts = make("div", { class: "acts" });
  private readonly standing = make("p", { class: "standing" });
  private readonly stop = make("button", { type: "button", class: "stop", text: "Stop" });
  private question: Say | null = null;
  private shownActs = "";

  constructor(
    private readonly host: HTMLElement,
    private readonly carrier: () => Carrier,
    /** Sends the program that is shown; false if there is none that can be drawn. */
    private readonly draw: () => void,
    private readonly speak: (text: string) => void,
  ) {
    this.stop.onclick = () => this.key("stop");
    host.append(this.standing, this.stop, this.says, this.acts);
  }

  /** Whether it moves, or may at any moment: then Esc holds it. */
  get moving(): boolean {
    const state = this.now.state;
    return state === "moving" || state === "armed" || (state === "asking" && !this.question);
  }

  key(key: "hold" | "stop" | "go on" | "leave"): void {
    this.carrier().send({ type: "key", key });
  }

  /** Opens the conversation, or gives the keyboard to the one that is open. */
  open(): void {
    if (!this.carrier().machines) {
      this.speak("Nothing is drawn on machines from here. wend on a computer, opened by wend open, does that.");
      return;
    }
    this.host.hidden = false;
    this.render();
    this.acts.querySelector<HTMLElement>("input, button")?.focus();
  }

  close(): void {
    this.host.hidden = true;
  }

  state(next: MachineState): void {
    const before = this.now;
    this.now = next;
    if (next.state !== "none") this.host.hidden = false;
    if (next.state !== before.state) {
      if (next.state !== "asking") this.question = null;
      this.speak(states[next.state]);
    }
    this.render();
  }

  say(said: Say): void {
    this.host.hidden = false;
    const item = make("li", { class: said.kind, text: said.text });
    this.says.append(item);
    while (this.says.children.length > 60) this.says.firstElementChild!.remove();
    this.says.scrollTop = this.says.scrollHeight;
    this.speak(said.text);
    if (said.kind === "question") {
      this.question = said;
      this.render();
      this.acts.querySelector<HTMLElement>("input, button")?.focus();
    }
  }

  private render(): void {
    const m = this.now;
    const connected = m.state !== "none";
    const place = m.at && m.certainty !== "lost" ? ` ${m.at[0].toFixed(1)}, ${m.at[1].toFixed(1)} mm.` : "";
    const progress = m.of && ["armed", "moving", "held"].includes(m.state) ? ` ${m.drawn} of ${m.of} pieces, ${inWords(m.seconds)} left.` : "";
    this.standing.textContent = m.held_by_other
      ? "Another window holds the machine."
      : connected
        ? `${m.name ? `${m.name}: ` : ""}${states[m.state]}${progress} ${certainties[m.certainty]}${place}`
        : states.none;
    this.stop.hidden = !connected || m.held_by_other;
    // Fields that somebody types into are not taken away by each report of the place.
    const wanted = `${m.state} ${m.held_by_other} ${this.question?.text} ${this.question?.word} ${m.certainty}`;
    if (wanted === this.shownActs) return;
    this.shownActs = wanted;
    const hadFocus = this.acts.contains(document.activeElement);
    this.acts.replaceChildren(...this.offered());
    if (hadFocus) (this.acts.querySelector<HTMLElement>("input, button") ?? this.stop).focus();
  }

  private offered(): HTMLElement[] {
    const m = this.now;
    const carrier = this.carrier();
    const button = (text: string, act: () => void): HTMLButtonElement => {
      const b = make("button", { type: "button", text });
      b.onclick = act;
      return b;
    };
    if (m.held_by_other) return [button("Close", () => this.close())];
    if (this.question) {
      const question = this.question;
      const answer = (text: string): void => {
        this.question = null;
        carrier.send({ type: "answer-person", text });
        this.render();
      };
      const field = make("input", { type: "text", id: "answer", autocomplete: "off", spellcheck: "false" });
      const label = make("label", { for: "answer", text: question.word ? `Type the word “${question.word}” to go on; anything else leaves it.` : "Your answer" });
      const form = make("form", {}, label, field, make("button", { type: "submit", text: "Answer (Enter)" }));
      form.onsubmit = (event) => {
        event.preventDefault();
        answer(field.value);
      };
      return [form];
    }
    switch (m.state) {
      case "none": {
        const port = make("input", { type: "text", id: "port", value: "sim", autocomplete: "off", spellcheck: "false" });
        const form = make("form", {}, make("label", { for: "port", text: "Port (sim is the simulated machine)" }), port, make("button", { type: "submit", text: "Connect" }));
        form.onsubmit = (event) => {
          event.preventDefault();
          carrier.send({ type: "connect", port: port.value.trim() || "sim" });
        };
        return [form, button("Close", () => this.close()), make("small", { text: "Calibration stays at the terminal: wend machine tune." })];
      }
      case "moving":
        return [button("Hold (Esc)", () => this.key("hold"))];
      case "held":
        return [button("Go on", () => this.key("go on")), button("Abandon the rest", () => carrier.send({ type: "abandon" }))];
      case "asking":
      case "armed":
        return [button("Leave it", () => this.key("leave"))];
      case "connected":
      case "stopped":
        return [
          button("Draw this sheet", () => this.draw()),
          button("Wipe the sheet", () => carrier.send({ type: "wipe" })),
          this.placeForm(),
          button("Disconnect", () => carrier.send({ type: "disconnect" })),
        ];
    }
  }

  /** The position in numbers, for those who do not pull its mark on the sheet. */
  private placeForm(): HTMLFormElement {
    const at = this.now.at ?? [0, 0];
    const x = make("input", { type: "text", inputmode: "decimal", class: "short", id: "place-x", value: at[0].toFixed(1) });
    const y = make("input", { type: "text", inputmode: "decimal", class: "short", id: "place-y", value: at[1].toFixed(1) });
    const given = (): [number, number] | null => {
      const place: [number, number] = [Number(x.value), Number(y.value)];
      if (x.value.trim() && y.value.trim() && place.every(Number.isFinite)) return place;
      this.speak("The place wants two numbers in mm, like 12.5 and 40.");
      return null;
    };
    const walk = make("button", { type: "button", text: "Walk there" });
    walk.onclick = () => {
      const to = given();
      if (to) this.carrier().send({ type: "walk", to });
    };
    const form = make(
      "form",
      {},
      make("label", { for: "place-x", text: "Stylus at x" }),
      x,
      make("label", { for: "place-y", text: "y" }),
      y,
      make("button", { type: "submit", text: "It stands here" }),
      this.now.certainty === "confirmed" ? walk : null,
    );
    form.onsubmit = (event) => {
      event.preventDefault();
      const at = given();
      if (at) this.carrier().send({ type: "stands", at });
    };
    return form;
  }
}
