// What of a run is not as it was recorded, in words.
import type { Run } from "./runs.ts";

/** One sentence each; none for a whole run. */
export function runLacks({ complete, lostPages, otherPages }: Run): string[] {
  return [
    ...(lostPages > 0 ? [`${lostPages} damaged pages left out, some twenty records in each`] : []),
    ...(otherPages > 0
      ? [`${otherPages} pages are of a kind that this version of headgate does not know`]
      : []),
    ...(complete ? [] : ["the run is cut short: its beginning or its end is not in the log"]),
  ];
}
