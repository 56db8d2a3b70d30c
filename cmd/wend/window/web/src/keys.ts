/** Something that one key does. The letter alone does it on the sheet and the strip, with Alt everywhere. */
export type Command = {
  /** KeyboardEvent.code, so that layouts which give other signs with Alt do not matter. */
  code: string;
  key: string;
  group: string;
  does: string;
  run(): void;
  /** A key that is only listed: another part of the page answers it. */
  listed?: boolean;
};

export class Keys {
  constructor(
    readonly commands: Command[],
    /** Looks at each key before anything else does; true means that it is done with. */
    first: (event: KeyboardEvent) => boolean,
  ) {
    addEventListener(
      "keydown",
      (event) => {
        if (first(event)) {
          event.preventDefault();
          event.stopImmediatePropagation();
          return;
        }
        if (event.ctrlKey || event.metaKey || event.isComposing) return;
        const command = this.commands.find((c) => !c.listed && c.code === event.code);
        if (!command || !(event.altKey || command.code === "F1" || this.bare(event))) return;
        event.preventDefault();
        event.stopImmediatePropagation();
        command.run();
      },
      true,
    );
  }

  /** A letter by itself counts only where nothing is typed, no list is walked and no slider moved. */
  private bare(event: KeyboardEvent): boolean {
    const target = event.target as Element;
    if (event.shiftKey || target.closest("#card")) return false;
    if (target.closest("#time")) return event.key.length === 1;
    return target.closest("#sheet") !== null && !(event.code === "Space" && target.tagName === "BUTTON");
  }
}
