// What a tab of the browser says of itself: its address, and what it remembers over
// a reload.

const pathKey = "wend.path";
const lessonsKey = "wend.lessons";

/** Which file is of which lesson, and what was guessed in each: -1 where nobody wanted to. */
export type Learned = { files: Record<string, number>; guesses: Record<string, number> };

/** The programs of lessons are known by their names, wherever they lie. */
const programs = /(?:^|\/)lesson-(\d+)\.wend$/;

/** The lesson that the address names, to be handed out, as the gallery calls it; empty for none. */
export function handedOut(): string {
  return /^#(lesson-\d+)$/.exec(location.hash)?.[1] ?? "";
}

/** The number of the lesson that a file is of; 0 for none. */
export function lessonOf(path: string): number {
  return recallLearned().files[path] ?? Number(programs.exec(path)?.[1] ?? 0);
}

export function recallLearned(): Learned {
  try {
    return { files: {}, guesses: {}, ...JSON.parse(sessionStorage.getItem(lessonsKey) ?? "{}") };
  } catch {
    return { files: {}, guesses: {} };
  }
}

export function rememberLearned(learned: Learned): void {
  try {
    sessionStorage.setItem(lessonsKey, JSON.stringify(learned));
  } catch {
    // then it is asked again after a reload
  }
}

export function rememberPath(path: string): void {
  try {
    sessionStorage.setItem(pathKey, path);
  } catch {
    // a browser that keeps nothing opens the first program again
  }
}

/** The program that was shown before a reload; empty for none. */
export function recallPath(): string {
  try {
    return sessionStorage.getItem(pathKey) ?? "";
  } catch {
    return "";
  }
}
