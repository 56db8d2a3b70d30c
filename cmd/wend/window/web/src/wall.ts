import type { Cards } from "./cards.ts";

/** The sheet alone, large, for an audience: in this window, or in a second one that follows it. */
export class Wall {
  /** Whether this window only follows another. */
  readonly follows = location.hash === "#wall";
  private readonly channel = new BroadcastChannel("wend.wall");
  private last: { path: string; text: string } | null = null;

  constructor(
    private readonly cards: Cards,
    take: (path: string, text: string) => void,
  ) {
    if (this.follows) document.body.classList.add("wall");
    this.channel.onmessage = ({ data }) => {
      if (this.follows && data?.type === "shown") take(String(data.path), String(data.text));
      if (!this.follows && data?.type === "which" && this.last) this.channel.postMessage({ type: "shown", ...this.last });
    };
  }

  /** Shows others what is shown here. */
  tell(path: string, text: string): void {
    if (this.follows) return;
    this.last = { path, text };
    this.channel.postMessage({ type: "shown", path, text });
  }

  /** Asks what is shown elsewhere. */
  ask(): void {
    this.channel.postMessage({ type: "which" });
  }

  toggle(): string {
    this.cards.close();
    const large = document.body.classList.toggle("wall");
    if (large) document.getElementById("sheet")!.focus();
    return large ? "The sheet alone. L brings the program back." : "Sheet and program.";
  }

  second(path: string, text: string): string {
    this.last = { path, text };
    const opened = open(`${location.pathname}#wall`, "_blank");
    return opened ? "A second window shows the sheet alone and follows this one." : "The browser keeps a second window from opening; it can be let for this page.";
  }
}
