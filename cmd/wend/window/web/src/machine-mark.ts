import type { Machine } from "./machine.ts";
import type { Sheet } from "./sheet.ts";

/** How near the pointer takes hold of the mark, in pixels of the layout. */
const reach = 14;

/**
 * Lets the mark of the stylus be pulled over the sheet while the machine stands
 * still. Where it is let go nothing moves: whether the stylus stands there, or is to
 * walk there, is asked.
 */
export function pullMark(host: HTMLElement, sheet: Sheet, machine: Machine): void {
  let pulled: [number, number] | null = null;
  const marked = (event: PointerEvent): boolean => {
    const at = machine.now.at;
    if (!machine.standing || !at || machine.now.certainty === "lost") return false;
    const [x, y] = sheet.mm(event.clientX, event.clientY);
    const [x1] = sheet.mm(event.clientX + reach, event.clientY);
    return Math.hypot(x - at[0], y - at[1]) <= x1 - x;
  };
  const show = (at: [number, number]): void => {
    sheet.marks.machine = { ...machine.now, at, certainty: "assumed" };
    sheet.touch("marks");
  };
  host.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !marked(event)) return;
    pulled = sheet.mm(event.clientX, event.clientY);
    host.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  host.addEventListener("pointermove", (event) => {
    if (!pulled) return;
    pulled = sheet.mm(event.clientX, event.clientY);
    show(pulled);
  });
  host.addEventListener("pointerup", (event) => {
    const at = machine.now.at;
    const to = pulled;
    pulled = null;
    sheet.marks.machine = machine.now;
    sheet.touch("marks");
    if (!to || !at) return;
    const [x0] = sheet.mm(event.clientX, event.clientY);
    const [x1] = sheet.mm(event.clientX + 4, event.clientY);
    if (Math.hypot(to[0] - at[0], to[1] - at[1]) > x1 - x0) machine.pulled(to);
  });
  host.addEventListener("pointercancel", () => {
    pulled = null;
    sheet.marks.machine = machine.now;
    sheet.touch("marks");
  });
}
