import type { Carrier } from "./carrier.ts";
import { make } from "./cards.ts";
import { withCode } from "./editor.ts";
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

const aboutStop = "Stop brakes on the line and keeps the position; what is left can be gone on with. Once more while it still moves, it stops at once, and then nobody knows where the stylus is.";
const aboutAbandon = "Abandon gives up what is left and keeps the position: the machine can draw another at once.";

/**
 * The conversation with a machine. Its words come from the process, and so does
 * every decision: this only shows them and sends what a person answers.
 */
export class Machine {
  now: MachineState = { type: "machine", state: "none", name: "", certainty: "lost", at: null, drawn: 0, queued: 0, of: 0, seconds: 0, held_by_other: false, port: "sim", unfinished: null };
  private readonly says = make("ul", { class: "says", tabindex: "0", "aria-label": "What the machine says" });
  private readonly acts = make("div", { class: "acts" });
  private readonly stands = make("p", { class: "standing" });
  private readonly stop = make("button", { type: "button", class: "stop", text: "Stop" });
  private question: Say | null = null;
  private shownActs = "";

  constructor(
    private readonly host: HTMLElement,
    private readonly carrier: () => Carrier,
    /** The sheet that is shown; null, and said why, if it cannot be drawn as it stands. */
    private readonly shown: (toDraw: boolean) => { path: string; text: string; sheet: number } | null,
    private readonly openProgram: (path: string) => void,
    private readonly speak: (text: string) => void,
  ) {
    this.stop.onclick = () => this.key("stop");
    host.append(this.stands, this.stop, this.says, this.acts);
  }

  /** Whether it moves, or may at any moment: then Esc holds it. */
  get moving(): boolean {
    const state = this.now.state;
    return state === "moving" || state === "armed" || (state === "asking" && !this.question);
  }

  /** Whether one is connected and stands still. */
  get standing(): boolean {
    return !this.moving && !this.now.held_by_other && ["connected", "stopped"].includes(this.now.state);
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

  /** Offers what can be done with the program that is open now. */
  refresh(): void {
    this.render();
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
    const item = make("li", { class: said.kind }, ...withCode(said.text));
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
    this.stands.textContent = m.held_by_other
      ? "Another window holds the machine."
      : connected
        ? `${m.name ? `${m.name}: ` : ""}${states[m.state]}${progress} ${certainties[m.certainty]}${place}`
        : states.none;
    this.stop.hidden = !connected || m.held_by_other;
    // Fields that somebody types into are not taken away by each report of the place.
    const wanted = `${m.state} ${m.held_by_other} ${this.question?.text} ${this.question?.word} ${m.certainty} ${m.unfinished?.path} ${m.unfinished?.name} ${this.shown(false)?.path}`;
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
        const port = make("input", { type: "text", id: "port", value: m.port || "sim", autocomplete: "off", spellcheck: "false" });
        const form = make("form", {}, make("label", { for: "port", text: "Port (sim is the simulated machine)" }), port, make("button", { type: "submit", text: "Connect" }));
        form.onsubmit = (event) => {
          event.preventDefault();
          carrier.send({ type: "connect", port: port.value.trim(), ...this.shown(false) });
        };
        return [form, button("Close", () => this.close()), make("small", { text: "Calibration stays at the terminal: wend machine tune." })];
      }
      case "moving":
        return [button("Hold (Esc)", () => this.key("hold")), make("small", { text: aboutStop })];
      case "held":
        return [button("Go on", () => this.key("go on")), this.abandon(), make("small", { text: `${aboutStop} ${aboutAbandon}` })];
      case "asking":
      case "armed":
        return [button("Leave it", () => this.key("leave"))];
      case "connected":
      case "stopped":
        return [
          ...this.cutOff(),
          button("Draw this sheet", () => this.send("send", true)),
          button("Wipe the sheet", () => carrier.send({ type: "wipe" })),
          this.placeForm(),
          button("Disconnect", () => carrier.send({ type: "disconnect" })),
        ];
    }
  }

  /** Asks for the sheet that is shown to be drawn, or gone on with. */
  private send(type: "send" | "resume", toDraw: boolean): void {
    const shown = this.shown(toDraw);
    if (shown) this.carrier().send({ type, ...shown });
  }

  private abandon(): HTMLElement {
    const b = make("button", { type: "button", text: "Abandon the rest" });
    b.onclick = () => this.carrier().send({ type: "abandon" });
    return b;
  }

  /** What can be done about a drawing that was cut off. */
  private cutOff(): HTMLElement[] {
    const left = this.now.unfinished;
    if (!left) return [];
    const goOn = make("button", { type: "button", text: "Go on with it" });
    goOn.onclick = () => this.send("resume", false);
    const openIt = make("button", { type: "button", text: `Open ${left.path}, to go on with it` });
    openIt.onclick = () => this.openProgram(left.path);
    const here = left.path !== "" && this.shown(false)?.path === left.path;
    const way = here ? goOn : left.path ? openIt : make("small", { text: "It is not in this folder: wend send goes on with it, with --resume." });
    return [make("div", { class: "cut-off" }, make("p", { text: `${left.name} is not drawn to its end.` }), way, this.abandon(), make("small", { text: aboutAbandon }))];
  }

  /** The mark of the stylus was pulled to a place of the sheet: what that means is chosen next. */
  pulled(to: [number, number]): void {
    this.open();
    const [x, y] = [this.acts.querySelector<HTMLInputElement>("#place-x"), this.acts.querySelector<HTMLInputElement>("#place-y")];
    if (!x || !y) return;
    x.value = to[0].toFixed(1);
    y.value = to[1].toFixed(1);
    (x.form!.querySelector<HTMLElement>("button[type=button]") ?? x.form!.querySelector<HTMLElement>("button"))!.focus();
    this.speak(`${x.value}, ${y.value} mm: does it stand here, or is it to walk there?`);
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
