import type { Bytes, Reply, Request } from "./messages.ts";
import { readBytes } from "./messages.ts";

/** How the page reaches the engine: a socket to the process, or a worker. */
export interface Carrier {
  /** Whether there is a process behind it that can reach machines. */
  readonly machines: boolean;
  send(request: Request): void;
}

/**
 * What a window begins with: a piece of the gallery, if one is named; the program at
 * a path, if it is there; or else the first one. It is opened and drawn, as request 1,
 * without being asked for more.
 */
export type Begin = { piece: string; path: string };

/** What a carrier calls; the page fills it in. */
export type Receiver = {
  reply(message: Reply): void;
  bytes(message: Bytes): void;
  /** The way to the engine is open, was lost and is tried again, or is closed for good. */
  state(state: "open" | "lost" | "closed"): void;
};

/** How long a message may be that the process takes, bytes: a program of 8 MB, and what stands around it. */
const longestMessage = 9 << 20;

/**
 * The socket to the process that served this page. Its first message carries
 * the secret that stood in the page, and what the window begins with. When it breaks it is tried again, at
 * growing intervals; requests made meanwhile are dropped, since the page sends
 * anew what counts when the socket is open.
 */
export class Socket implements Carrier {
  readonly machines = true;
  private socket: WebSocket | null = null;
  private tries = 0;

  constructor(
    private readonly secret: string,
    private readonly receiver: Receiver,
    private readonly begin: () => Begin | null,
  ) {
    this.open();
    addEventListener("online", () => this.socket === null && this.open());
  }

  send(request: Request): void {
    if (this.socket?.readyState !== WebSocket.OPEN) return;
    const text = JSON.stringify(request);
    if (3 * text.length > longestMessage && new TextEncoder().encode(text).length > longestMessage) {
      // What can be undone is worth less than the socket.
      if (request.type !== "history") this.tooLong(request.id ?? 0);
      return;
    }
    this.socket.send(text);
  }

  private tooLong(id: number): void {
    this.receiver.reply({ type: "failed", id, text: "This program is longer than 8 MB: it is neither drawn nor saved as it stands.", hint: "Its numbers may lie in a file beside it, which a program reads; what you wrote stays here." });
  }

  private open(): void {
    const address = new URL("socket", document.baseURI);
    address.protocol = address.protocol === "https:" ? "wss:" : "ws:";
    address.hash = address.search = "";
    const socket = new WebSocket(address);
    socket.binaryType = "arraybuffer";
    this.socket = socket;
    socket.onopen = () => {
      socket.send(JSON.stringify({ type: "hello", secret: this.secret, begin: this.begin() }));
      this.tries = 0;
      this.receiver.state("open");
    };
    socket.onmessage = ({ data }) => {
      if (typeof data === "string") {
        this.receiver.reply(JSON.parse(data) as Reply);
        return;
      }
      const bytes = readBytes(data as ArrayBuffer);
      if (bytes) this.receiver.bytes(bytes);
    };
    socket.onclose = (event) => {
      this.socket = null;
      this.tries++;
      if (event.code === 1009) this.tooLong(0); // the process measures more closely than this page
      // 1008: the process refuses this page. Trying again would not help.
      if (event.code === 1008 || this.tries > 8) {
        this.receiver.state("closed");
        return;
      }
      this.receiver.state("lost");
      setTimeout(() => this.open(), Math.min(250 * 2 ** this.tries, 5000));
    };
  }
}
