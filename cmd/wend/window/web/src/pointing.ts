import type { Editor } from "./editor.ts";
import type { Statement } from "./messages.ts";
import type { Session } from "./session.ts";
import type { Sheet } from "./sheet.ts";

/** From so many pieces on, the trail of each does not come with the picture. */
const manyPieces = 2000;

/** Line and program know each other: pointing at one lights up the other. */
export class Pointing {
  private under = -1;
  private lit: Statement | null = null;
  private pointer: [number, number] | null = null;
  private pending = 0;
  private resting = 0;

  constructor(
    host: HTMLElement,
    private readonly sheet: Sheet,
    private readonly session: Session,
    private readonly editor: Editor,
    private readonly shownSheet: () => number,
    private readonly path: () => string,
    private readonly say: (text: string) => void,
  ) {
    host.addEventListener("pointermove", (event) => {
      this.pointer = (event.target as Element).closest("#card") ? null : [event.clientX, event.clientY];
      this.pending ||= requestAnimationFrame(() => this.look());
    });
    host.addEventListener("pointerleave", () => {
      this.pointer = null;
      this.pending ||= requestAnimationFrame(() => this.look());
    });
    host.addEventListener("click", (event) => {
      if ((event.target as Element).closest("#card, button") || this.under < 0) return;
      const statement = this.statement(this.under);
      if (statement && statement.from >= 0 && this.current) this.editor.goTo(statement.from);
    });
  }

  /** Another line is shown. */
  fresh(): void {
    this.under = -1;
    this.lightPiece(-1);
    this.caret(this.editor.caret);
  }

  /** Lights up what the statement at the caret drew. */
  caret(at: number): void {
    if (this.under >= 0) return;
    this.sheet.choose(this.statementsAt(at));
  }

  /** Lights up the statement of a piece in the program; -1 none. */
  lightPiece(piece: number): void {
    const statement = piece >= 0 ? this.statement(piece) : null;
    if (statement === this.lit) return;
    this.lit = statement;
    this.editor.light(statement && statement.from >= 0 && this.current ? [statement.from, statement.to] : null);
  }

  /** The statement of a piece as it is written, with its line and trail. */
  statementOf(piece: number, whole?: string[]): string {
    const statement = piece >= 0 ? this.statement(piece) : null;
    const text = this.session.picture?.text ?? "";
    if (!statement) return "the way in";
    if (statement.from < 0) return "another file's statement";
    const line = text.slice(0, statement.from).split("\n").length;
    const written = text.slice(statement.from, statement.to).split("\n")[0].trim();
    const way = whole ?? statement.trail ?? [];
    const trail = way.length ? ` (${way.join(", ")})` : "";
    return `line ${line}: ${written}${trail}`;
  }

  /** Whether places of the picture's program are places of the text as it stands. */
  private get current(): boolean {
    return this.session.picture?.facts.id === this.session.newest;
  }

  private statement(piece: number): Statement | null {
    const line = this.session.picture?.lines[this.shownSheet()];
    const all = this.session.picture?.facts.statements;
    if (!line || !all || piece >= line.pieces) return null;
    return all[line.statement(piece)] ?? null;
  }

  /** The indexes of the innermost statements around a place that drew something; else of those called on its line. */
  private statementsAt(at: number): number[] {
    const picture = this.session.picture;
    const all = picture?.facts.statements ?? [];
    if (!picture || !this.current) return [];
    let width = Infinity;
    let found: number[] = [];
    all.forEach((s, i) => {
      if (at < s.from || at > s.to || s.to - s.from > width) return;
      if (s.to - s.from < width) found = [];
      width = s.to - s.from;
      found.push(i);
    });
    if (found.length) return found;
    const line = picture.text.slice(0, at).split("\n").length;
    const called = new RegExp(`line ${line}$`);
    all.forEach((s, i) => s.trail?.some((t) => called.test(t)) && found.push(i));
    return found;
  }

  /** Of a long drawing each statement has one short trail; where the pointer rests, the whole one is asked for. */
  private async wholeTrail(piece: number): Promise<void> {
    const line = this.session.picture?.lines[this.shownSheet()];
    if (!line || line.pieces < manyPieces || !this.current || piece !== this.under) return;
    const trail = await this.session.trail(this.path(), this.shownSheet(), piece);
    if (piece === this.under && trail.length) this.say(this.statementOf(piece, trail));
  }

  private look(): void {
    this.pending = 0;
    let piece = -1;
    if (this.pointer && this.sheet.line) {
      const [x, y] = this.sheet.mm(...this.pointer);
      piece = this.sheet.line.nearest(x, y, 8 * this.sheet.mmPerPixel);
    }
    if (piece === this.under) return;
    const left = this.under >= 0 && piece < 0;
    this.under = piece;
    if (piece >= 0) {
      const statement = this.sheet.line!.statement(piece);
      this.sheet.choose([statement]);
      this.lightPiece(piece);
      this.say(this.statementOf(piece));
      clearTimeout(this.resting);
      this.resting = window.setTimeout(() => void this.wholeTrail(piece), 200);
    } else if (left) {
      this.lightPiece(-1);
      this.caret(this.editor.caret);
      this.say("");
    }
  }
}
