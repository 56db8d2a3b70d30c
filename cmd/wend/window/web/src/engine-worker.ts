// The engine as WebAssembly. It is Go's own support file and engine.bin beside
// this one, packed by gzip under a name of which no file server thinks anything:
// many pack nothing themselves, and some do not know the type of .wasm. What was
// compiled goes back to the page, and with the first message to the next worker.
// The program there sets wendAsk, a function that takes one request as text and
// calls wendReply with each answer, a text or bytes, before it returns.
type GoRuntime = { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
type Scope = {
  Go: new () => GoRuntime;
  wendAsk?: (request: string) => void;
  wendReply: (answer: string | Uint8Array) => void;
  wendReady: () => void;
  postMessage(message: unknown, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<string | { compiled: WebAssembly.Module | null }>) => void) | null;
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
scope.onmessage = ({ data }) => {
  if (typeof data !== "string") {
    start(data.compiled).catch((error: unknown) => scope.postMessage({ type: "unready", text: String(error) }));
    return;
  }
  scope.wendAsk?.(data);
  scope.postMessage({ type: "done" });
};

const support = import(new URL("wasm_exec.js", import.meta.url).href);

async function start(given: WebAssembly.Module | null): Promise<void> {
  const [compiled] = await Promise.all([given ?? compile(), support]);
  const go = new scope.Go();
  const instance = await WebAssembly.instantiate(compiled, go.importObject);
  scope.wendReady = () => scope.postMessage({ type: "ready", compiled });
  await go.run(instance);
}

async function compile(): Promise<WebAssembly.Module> {
  const packed = await fetch(new URL("engine.bin", import.meta.url));
  if (!packed.ok || !packed.body) throw new Error(`engine.bin is not served: ${packed.status}`);
  return WebAssembly.compileStreaming(new Response(packed.body.pipeThrough(new DecompressionStream("gzip")), { headers: { "Content-Type": "application/wasm" } }));
}

export {};
