// What comes before all else: the sheet, the way to the engine, and the first
// picture. The editor and what else there is come when that is on the sheet. What
// was heard until then is kept for them, in its order.
import { Socket, type Begin, type Carrier, type Receiver } from "./carrier.ts";
import { Session, type SessionHooks } from "./session.ts";
import { Sheet } from "./sheet.ts";
import { handedOut, lessonOf, recallPath } from "./tab.ts";
import { WorkerCarrier } from "./worker-carrier.ts";

/** The rest of the window, as what is here calls it. */
export type Rest = Omit<Receiver, "bytes"> & SessionHooks & {
  /** Hands a program to whoever writes, since this browser keeps nothing. */
  keepElsewhere(name: string, text: string): void;
};

let rest: Rest | null = null;
const waiting: ((rest: Rest) => void)[] = [];

function tell(act: (rest: Rest) => void): void {
  if (rest) act(rest);
  else waiting.push(act);
}

/** The rest of the window is there, and hears what has happened so far. */
export function attend(window: Rest): void {
  for (const act of waiting) act(window);
  rest = window;
}

export const sheet = new Sheet(document.getElementById("sheet")!);

// Who measures how long a picture takes listens to this.
sheet.onpicture = () => dispatchEvent(new CustomEvent("wend-picture", { detail: session.picture?.facts.id }));

/** Whether the first program is still to come; a window that follows another has none of its own. */
let first = location.hash !== "#wall";
/** Whether its picture is shown by itself: that of a lesson waits for a guess. */
let shows = false;

let settle!: () => void;
/** The first picture is on the sheet, or it is known that something else comes first. */
export const settled = new Promise<void>((resolve) => (settle = resolve));

const receiver: Receiver = {
  reply(message) {
    if (message.type === "opened") {
      first = false;
      shows = lessonOf(message.path) === 0;
      if (message.program) session.begun(message.path, message.text, message.before);
      if (!shows) settle();
    }
    if (!session.reply(message)) tell((rest) => rest.reply(message));
  },
  bytes: (bytes) => session.bytes(bytes),
  state(state) {
    if (state === "open" && first) return; // the first program is on its way
    settle();
    tell((rest) => rest.state(state));
  },
};

export const session = new Session(() => carrier, {
  checked: (checked) => tell((rest) => rest.checked(checked)),
  arrives: (of, points, from, pieces) => rest?.arrives(of, points, from, pieces),
  pictured(picture) {
    if (!rest && shows) {
      sheet.show(picture.lines[0], picture.facts.page);
      requestAnimationFrame(() => setTimeout(settle));
    }
    tell((rest) => rest.pictured(picture));
  },
  failed(drawn) {
    settle();
    tell((rest) => rest.failed(drawn));
  },
  progress: (done, of) => tell((rest) => rest.progress(done, of)),
  said(text, hint, id) {
    settle();
    tell((rest) => rest.said(text, hint, id));
  },
});

const secret = document.querySelector<HTMLMetaElement>('meta[name="wend-secret"]')?.content ?? "";
const begin = (): Begin | null => (first ? { piece: handedOut(), path: recallPath() } : null);

export const carrier: Carrier =
  secret === "" || secret.startsWith("{{")
    ? new WorkerCarrier(receiver, begin, (name, text) => tell((rest) => rest.keepElsewhere(name, text)))
    : new Socket(secret, receiver, begin);
