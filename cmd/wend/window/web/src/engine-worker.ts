// The engine as WebAssembly. It is Go's own support file and engine.wasm beside
// this one; the program there sets wendAsk, a function that takes one request
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
  const address = new URL("engine.wasm", import.meta.url);
  let instance: WebAssembly.Instance;
  try {
    ({ instance } = await WebAssembly.instantiateStreaming(fetch(address), go.importObject));
  } catch {
    // A file server that does not know the type of .wasm.
    const bytes = await (await fetch(address)).arrayBuffer();
    ({ instance } = await WebAssembly.instantiate(bytes, go.importObject));
  }
  await go.run(instance);
}

start().catch((error: unknown) => scope.postMessage({ type: "unready", text: String(error) }));

export {};
