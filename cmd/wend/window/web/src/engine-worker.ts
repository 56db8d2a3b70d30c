// The engine as WebAssembly. It is Go's own support file and engine.bin beside
// this one, packed by gzip under a name of which no file server thinks anything:
// many pack nothing themselves, and some do not know the type of .wasm. The program there sets wendAsk, a function that takes one request
// as text and calls wendReply with each answer, a text or bytes, before it
// returns.
type GoRuntime = { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
type Scope = {
  Go: new () => GoRuntime;
  wendAsk?: (request: string) => void;
  wendReply: (answer: string | Uint8Array) => void;
  wendReady: () => void;
  postMessage(message: unknown, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<string>) => void) | null;
};
const scope = globalThis as unknown as Scope;

scope.wendReply = (answer) => {
  if (typeof answer === "string") {
    scope.postMessage(answer);
    return;
  }
  const bytes = answer.slice();
  scope.postMessage(bytes.buffer, [bytes.buffer]);
};
scope.wendReady = () => scope.postMessage({ type: "ready" });
scope.onmessage = ({ data }) => {
  scope.wendAsk?.(data);
  scope.postMessage({ type: "done" });
};

async function start(): Promise<void> {
  const support = new URL("wasm_exec.js", import.meta.url).href;
  await import(support);
  const go = new scope.Go();
  const packed = await fetch(new URL("engine.bin", import.meta.url));
  if (!packed.ok || !packed.body) throw new Error(`engine.bin is not served: ${packed.status}`);
  const engine = new Response(packed.body.pipeThrough(new DecompressionStream("gzip")), { headers: { "Content-Type": "application/wasm" } });
  const { instance } = await WebAssembly.instantiateStreaming(engine, go.importObject);
  await go.run(instance);
}

start().catch((error: unknown) => scope.postMessage({ type: "unready", text: String(error) }));

export {};
