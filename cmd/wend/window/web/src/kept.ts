// The pictures of programs that this browser keeps, as the engine of the site last
// told them: who comes back sees one before the engine is there.

/** What the engine said, as it said it. */
export type Answers = (string | ArrayBuffer)[];
/** What it said of a text. */
export type KeptPicture = { text: string; messages: Answers };

const database = "wend";
const store = "pictures";

/** A picture of more bytes is not kept: it waits for the engine. */
const mostBytes = 1 << 20;
/** How long it may take to find one, ms: a store that does not answer holds nobody up. */
const patienceMS = 300;

/** Pictures by the path of their program. A browser that keeps nothing has none. */
export class Kept {
  private opened: Promise<IDBDatabase> | null = null;

  async read(path: string): Promise<KeptPicture | null> {
    const late = new Promise<null>((resolve) => setTimeout(resolve, patienceMS, null));
    const found = this.on("readonly", (pictures) => pictures.get(path)).catch(() => null);
    const picture = (await Promise.race([found, late])) as Partial<KeptPicture> | null | undefined;
    return typeof picture?.text === "string" && Array.isArray(picture.messages) ? (picture as KeptPicture) : null;
  }

  write(path: string, picture: KeptPicture): void {
    const bytes = picture.messages.reduce((sum, m) => sum + (typeof m === "string" ? m.length : m.byteLength), picture.text.length);
    this.on("readwrite", (pictures) => (bytes > mostBytes ? pictures.delete(path) : pictures.put(picture, path))).catch(() => null);
  }

  remove(path: string): void {
    this.on("readwrite", (pictures) => pictures.delete(path)).catch(() => null);
  }

  private async on(mode: IDBTransactionMode, act: (pictures: IDBObjectStore) => IDBRequest): Promise<unknown> {
    this.opened ??= new Promise((resolve, reject) => {
      const opening = indexedDB.open(database, 1);
      opening.onupgradeneeded = () => opening.result.createObjectStore(store);
      opening.onsuccess = () => resolve(opening.result);
      opening.onerror = () => reject(opening.error);
    });
    const done = act((await this.opened).transaction(store, mode).objectStore(store));
    return new Promise((resolve, reject) => {
      done.onsuccess = () => resolve(done.result);
      done.onerror = () => reject(done.error);
    });
  }
}
