import type { Brush } from "./sheet.ts";
import type { Sketch } from "./messages.ts";

/**
 * A wanted drawing with its dimensions, as a workshop draws them, to be laid under
 * the line. It differs from a line that is drawn by dash, width and colour.
 */
export class SketchLayer {
  constructor(private readonly sketch: Sketch) {}

  draw(b: Brush): void {
    const { ctx, dense, k, colours } = b;
    const trace = (line: [number, number][]): void => {
      ctx.beginPath();
      for (const [x, y] of line) ctx.lineTo(b.x(x), b.y(y));
      ctx.stroke();
    };
    ctx.strokeStyle = colours.sketch;
    ctx.lineJoin = "round";
    ctx.lineCap = "butt";
    ctx.lineWidth = 2.5 * dense;
    ctx.setLineDash([9 * dense, 5 * dense]);
    trace(this.sketch.line);
    ctx.setLineDash([]);
    ctx.lineWidth = dense;
    for (const { lines } of this.sketch.dimensions) for (const line of lines) trace(line);
    // Words have room for as long as a millimetre has; below that they stay legible.
    ctx.font = `${Math.min(14 * dense, Math.max(11 * dense, 4 * k))}px system-ui, sans-serif`;
    ctx.textAlign = "center";
    ctx.textBaseline = "middle";
    ctx.strokeStyle = colours.ground;
    ctx.fillStyle = colours.sketch;
    ctx.lineWidth = 4 * dense;
    for (const { words, at } of this.sketch.dimensions) {
      ctx.strokeText(words, b.x(at[0]), b.y(at[1]));
      ctx.fillText(words, b.x(at[0]), b.y(at[1]));
    }
  }
}
