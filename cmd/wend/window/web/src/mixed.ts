import { make } from "./cards.ts";

export type MixedHooks = {
  /** The rows as they stand now, without those that are left out. */
  moved(rows: string[]): void;
  say(text: string): void;
};

/** Stands between the rows and those that are left out. */
const border = null;

/**
 * Rows of a program out of their order, to be put in order: pulled, moved by two
 * buttons, or taken, moved and put down by the keyboard. What stands below the
 * border is left out.
 */
export class Mixed {
  readonly element: HTMLElement;
  private order: (string | typeof border)[];
  /** Index of the row that the keyboard is on. */
  private at = 0;
  /** Where a row stood before it was taken; -1 for none. */
  private taken = -1;
  private pulled = -1;
  private readonly list = make("ol", { class: "mixed", "aria-label": "Rows to be put in order" });

  constructor(
    rows: string[],
    private readonly hooks: MixedHooks,
  ) {
    this.order = [...rows, border];
    this.element = make(
      "div",
      {},
      make("p", { class: "card-note", id: "mixed-how", text: "Pull a row to its place. By keyboard: Space takes it, ↑ and ↓ move it, Space puts it down." }),
      this.list,
    );
    this.list.onkeydown = (event) => this.key(event);
    this.list.onpointermove = (event) => this.pull(event);
    for (const end of ["pointerup", "pointercancel"] as const) {
      this.list.addEventListener(end, () => {
        if (this.pulled < 0) return;
        this.pulled = -1;
        this.show();
        this.sayPlace();
      });
    }
    this.show();
  }

  /** The rows above the border, as deep as their blocks. */
  get rows(): string[] {
    const kept = this.order.slice(0, this.order.indexOf(border)) as string[];
    return kept.map((row, i) => "  ".repeat(depths(kept)[i]) + row);
  }

  private show(focus = false): void {
    const depth = depths(this.order.map((row) => row ?? ""));
    const line = this.order.indexOf(border);
    const items = this.order.map((row, i) => {
      if (row === border) return make("li", { class: "border", text: "Left out, below this line:" });
      const take = make("button", {
        type: "button",
        class: "take",
        "aria-pressed": String(i === this.at && (this.taken >= 0 || this.pulled >= 0)),
        "aria-describedby": "mixed-how",
        tabindex: i === this.at ? "0" : "-1",
      }, make("span", { class: "grip", "aria-hidden": "true", text: "⠿" }), make("code", { text: row }));
      take.style.paddingLeft = `${0.4 + 1.1 * (i < line ? depth[i] : 0)}rem`;
      take.onclick = () => this.toggle(i);
      take.onfocus = () => this.walked(i);
      take.onpointerdown = (event) => {
        const grip = (event.target as Element).closest(".grip");
        if (event.button !== 0 || (event.pointerType !== "mouse" && !grip)) return;
        this.list.setPointerCapture(event.pointerId);
        this.at = this.pulled = i;
      };
      const button = (sign: string, by: number, where: string): HTMLElement => {
        const b = make("button", { type: "button", tabindex: "-1", text: sign, "aria-label": `Move ${row} ${where}`, disabled: i + by < 0 || i + by >= this.order.length ? "" : undefined });
        b.onclick = () => {
          this.at = i;
          this.move(i + by, true);
          this.sayPlace();
        };
        return b;
      };
      return make("li", { class: i < line ? "" : "out" }, take, button("↑", -1, "up"), button("↓", 1, "down"));
    });
    this.list.replaceChildren(...items);
    if (focus) (this.list.children[this.at].querySelector(".take") as HTMLElement).focus();
  }

  private walked(i: number): void {
    if (i === this.at) return;
    this.list.children[this.at]?.querySelector(".take")?.setAttribute("tabindex", "-1");
    this.at = i;
    this.list.children[i].querySelector(".take")!.setAttribute("tabindex", "0");
  }

  private key(event: KeyboardEvent): void {
    const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (by && !event.altKey) {
      event.preventDefault();
      if (this.taken >= 0) {
        this.move(this.at + by, true);
        this.sayPlace();
        return;
      }
      let next = this.at + by;
      if (this.order[next] === border) next += by;
      if (this.order[next] !== undefined) (this.list.children[next].querySelector(".take") as HTMLElement).focus();
    } else if (event.key === "Escape" && this.taken >= 0) {
      event.preventDefault();
      event.stopPropagation();
      const back = this.taken;
      this.taken = -1;
      this.move(back, true);
      this.hooks.say(`Back at ${this.placeOf(this.at)}.`);
    }
  }

  private toggle(i: number): void {
    const row = this.order[i]!;
    this.at = i;
    if (this.taken >= 0) {
      this.taken = -1;
      this.hooks.say(`Put down: ${row}, ${this.placeOf(i)}.`);
    } else {
      this.taken = i;
      this.hooks.say(`Taken: ${row}, ${this.placeOf(i)}. The arrows move it, Space puts it down.`);
    }
    this.show(true);
  }

  private pull(event: PointerEvent): void {
    if (this.pulled < 0) return;
    const boxes = [...this.list.children].map((item) => item.getBoundingClientRect());
    // The row trades places with one whose middle the pointer has passed.
    let to = this.pulled;
    while (to > 0 && event.clientY < middle(boxes[to - 1])) to--;
    while (to < boxes.length - 1 && event.clientY > middle(boxes[to + 1])) to++;
    if (to === this.pulled) return;
    this.pulled = to;
    this.move(to, false);
  }

  private move(to: number, focus: boolean): void {
    if (to < 0 || to >= this.order.length) return;
    const [row] = this.order.splice(this.at, 1);
    this.order.splice(to, 0, row);
    this.at = to;
    this.show(focus);
    this.hooks.moved(this.rows);
  }

  private placeOf(i: number): string {
    const line = this.order.indexOf(border);
    return i < line ? `row ${i + 1} of ${line}` : "left out";
  }

  private sayPlace(): void {
    this.hooks.say(`${this.order[this.at]}: ${this.placeOf(this.at)}.`);
  }
}

const middle = (box: DOMRect): number => (box.top + box.bottom) / 2;

/** How deep in blocks each row stands. */
function depths(rows: string[]): number[] {
  let depth = 0;
  return rows.map((row) => {
    const open = row.split("{").length - 1;
    const closed = row.split("}").length - 1;
    const here = Math.max(0, depth - (row.trim().startsWith("}") ? 1 : 0));
    depth = Math.max(0, depth + open - closed);
    return here;
  });
}
