/** Makes an element; its text is only ever text. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  properties: { text?: string; class?: string; [attribute: string]: string | undefined } = {},
  ...children: (Node | null)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined) continue;
    if (name === "text") element.textContent = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.filter((c) => c !== null));
  return element;
}

/** Calls what draws a small picture when its place comes into view. */
export function whenSeen(draws: Map<Element, () => void>): void {
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      seen.unobserve(entry.target);
      draws.get(entry.target)!();
    }
  });
  for (const place of draws.keys()) seen.observe(place);
}

/** A place for the small picture of a piece of the gallery, and what draws it there. */
export function picturePlace(): { place: SVGElement; draw(data: string): void } {
  const svg = "http://www.w3.org/2000/svg";
  const place = document.createElementNS(svg, "svg");
  place.setAttribute("class", "small");
  place.setAttribute("aria-hidden", "true");
  place.setAttribute("viewBox", "-4 -4 288 208"); // a page of 140 by 100 mm, and room for the stroke
  return {
    place,
    draw(data) {
      const path = document.createElementNS(svg, "path");
      path.setAttribute("d", data);
      place.replaceChildren(path);
    },
  };
}

export type Row = {
  /** What is searched besides what is shown. */
  name: string;
  content: Node[];
  act(): void;
  key?: string;
};
export type Group = { title: string; rows: Row[] };

/**
 * One card lies over the sheet at a time: it is asked for by a key and goes by
 * Escape. The focus goes into it and afterwards back to where it was.
 */
export class Cards {
  private before: HTMLElement | null = null;
  private closed: (() => void) | null = null;
  /** The name of the card that lies there; empty if none does. */
  current = "";

  constructor(private readonly host: HTMLElement) {
    host.addEventListener("keydown", (event) => {
      if (event.key === "Escape") {
        event.stopPropagation();
        event.preventDefault();
        this.close();
      }
    });
  }

  /** Lays down an empty card and gives the element to be filled. */
  open(name: string, title: string, closed: (() => void) | null = null, wide = false): HTMLElement {
    const active = this.current ? this.before : activeElement();
    this.dismiss();
    this.before = active;
    this.closed = closed;
    this.current = name;
    const close = make("button", { type: "button", class: "close", text: "Close (Esc)" });
    close.onclick = () => this.close();
    const body = make("div", { class: "card-body" });
    this.host.replaceChildren(make("div", { class: "card-head" }, make("h2", { text: title, id: "card-title" }), close), body);
    this.host.setAttribute("aria-labelledby", "card-title");
    this.host.classList.toggle("wide", wide);
    this.host.hidden = false;
    close.focus();
    return body;
  }

  close(): void {
    if (!this.current) return;
    this.dismiss();
    this.before?.focus();
    this.before = null;
  }

  private dismiss(): void {
    this.current = "";
    this.host.hidden = true;
    this.host.replaceChildren();
    const closed = this.closed;
    this.closed = null;
    closed?.();
  }

  /**
   * A list that is searched as one types and walked by the arrow keys. Some searches
   * have an answer of their own.
   */
  list(body: HTMLElement, label: string, groups: Group[], note = "", answers: Record<string, string> = {}): void {
    const field = make("input", { type: "search", "aria-label": label, placeholder: label, autocomplete: "off", spellcheck: "false" });
    const rows: { button: HTMLButtonElement; words: string; group: HTMLElement }[] = [];
    const all = make("div", { class: "rows" });
    for (const group of groups) {
      if (!group.rows.length) continue;
      const section = make("div", { class: "group" }, make("h3", { text: group.title }));
      const list = make("ul");
      for (const row of group.rows) {
        const button = make("button", { type: "button", class: "row" }, ...row.content);
        if (row.key) button.append(make("kbd", { text: row.key }));
        button.onclick = () => row.act();
        list.append(make("li", {}, button));
        rows.push({ button, words: `${row.name} ${button.textContent} ${group.title}`.toLowerCase(), group: section });
      }
      section.append(list);
      all.append(section);
    }
    const none = make("p", { class: "none", role: "status" });
    const filter = (): void => {
      const wanted = field.value.toLowerCase().split(/\s+/).filter(Boolean);
      for (const row of rows) row.button.parentElement!.hidden = !wanted.every((w) => row.words.includes(w));
      for (const group of new Set(rows.map((r) => r.group))) group.hidden = !rows.some((r) => r.group === group && !r.button.parentElement!.hidden);
      const sought = wanted.join(" ");
      const answer = Object.hasOwn(answers, sought) ? answers[sought] : "";
      none.textContent = answer || (rows.every((r) => r.button.parentElement!.hidden) ? "Nothing here has these words." : "");
    };
    const shown = (): HTMLButtonElement[] => rows.map((r) => r.button).filter((b) => !b.parentElement!.hidden);
    field.oninput = filter;
    field.onkeydown = (event) => {
      if (event.key === "ArrowDown") {
        event.preventDefault();
        shown()[0]?.focus();
      } else if (event.key === "Enter") {
        event.preventDefault();
        shown()[0]?.click();
      }
    };
    all.onkeydown = (event) => {
      const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
      if (!step) return;
      event.preventDefault();
      const buttons = shown();
      const next = buttons.indexOf(document.activeElement as HTMLButtonElement) + step;
      if (next < 0) field.focus();
      else buttons[Math.min(next, buttons.length - 1)]?.focus();
    };
    body.append(field, ...(note ? [make("p", { class: "card-note", text: note })] : []), none, all);
    field.focus();
  }

  /** Asks for one line of text. */
  ask(name: string, title: string, label: string, value: string, act: (value: string) => void): void {
    const body = this.open(name, title);
    const field = make("input", { type: "text", id: "asked", autocomplete: "off", spellcheck: "false" });
    field.value = value;
    const form = make("form", {}, make("label", { for: "asked", text: label }), field, make("button", { type: "submit", text: "Do it (Enter)" }));
    form.onsubmit = (event) => {
      event.preventDefault();
      const given = field.value.trim();
      if (!given) return;
      this.close();
      act(given);
    };
    body.append(form);
    field.focus();
    field.select();
  }
}

/** The element with the focus, also within a shadow root. */
function activeElement(): HTMLElement | null {
  let active = document.activeElement;
  while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
  return active as HTMLElement | null;
}
