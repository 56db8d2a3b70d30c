// The page's first program. The others come after the first picture, or when it
// keeps others waiting.
import { settled } from "./opening.ts";

/** How long the rest of the window waits for the first picture, ms: a large one may take longer. */
const patience = 300;

void Promise.race([settled, new Promise((resolve) => setTimeout(resolve, patience))]).then(() => import("./main.ts"));
