// What a proof comes to as a whole, in one word that terminal, page, JSON and JUnit share, and what it says nothing of.
import type { Finding } from "#host/bench/prove/prove.ts";
import { outcomeOf, type RowResult, rowResults } from "./rows.ts";
import { NOTHING_PROVED, type ProofWord } from "./words.ts";

/** The whole of a proof. */
export interface ProofVerdict {
  readonly word: ProofWord;
  /** The word, and what it covers. */
  readonly sentence: string;
  readonly rows: readonly RowResult[];
  /** Rows that these settings do not switch on, or have no part for. */
  readonly notFitted: readonly string[];
  /** Rows that a selection left out; none where all were to be tried. */
  readonly notChosen: readonly string[];
  /** Faults that these settings fit and that could not be shown at the pins. */
  readonly notShown: readonly { readonly row: string; readonly fault: string }[];
}

type Says = Readonly<Record<ProofWord, string>>;
const SAYS: Says = {
  PROVED: "every fault that these settings fit was shown and met in time",
  "PARTLY PROVED": "not everything that these settings fit, or that was asked for, was shown",
  "NOTHING PROVED": "no fault was shown at the pins",
  FAILED: "do not use this image with these settings",
};
/** What a selection may say: nothing of the rows that it left out. */
const SELECTION_SAYS: Says = {
  ...SAYS,
  PROVED: "every fault of the chosen rows was shown and met in time",
  "PARTLY PROVED": "not every fault of the chosen rows was shown",
};

function wordOf(findings: readonly Finding[], rows: readonly RowResult[], selection: boolean): ProofWord {
  if (rows.some(({ outcome }) => outcome === "FAILED")) return "FAILED";
  if (!findings.some((finding) => outcomeOf(finding) === "passed")) return NOTHING_PROVED;
  const open = rows.some(
    ({ outcome }) =>
      outcome === "partly" || outcome === "not shown" || outcome === (selection ? "not fitted" : "not run"),
  );
  return open ? "PARTLY PROVED" : "PROVED";
}

/** Judges findings. `only` names the rows asked for: each of them must be fitted and shown. */
export function verdictOf(findings: readonly Finding[], only?: readonly string[]): ProofVerdict {
  const all = rowResults(findings);
  const rows = only ? all.filter(({ id }) => only.includes(id)) : all;
  const word = wordOf(findings, rows, only !== undefined);
  const notChosen = only ? all.filter(({ id }) => !only.includes(id)).map(({ id }) => id) : [];
  const chosen = `${rows.length} of ${all.length} rows chosen, nothing is proved of the others`;
  return {
    word,
    sentence: only ? `${word}: ${SELECTION_SAYS[word]}; ${chosen}` : `${word}: ${SAYS[word]}`,
    notChosen,
    rows: rows.filter(({ outcome }) => outcome !== "not run"),
    notFitted: rows.filter(({ outcome }) => outcome === "not fitted").map(({ id }) => id),
    notShown: findings
      .filter((finding) => outcomeOf(finding) === "not shown")
      .map(({ row, fault }) => ({ row, fault })),
  };
}

/** What a proof says nothing of, in sentences; none when it covers everything. */
export function notCovered({ notFitted, notChosen, notShown }: ProofVerdict): string[] {
  const faults = notShown.map(({ row, fault }) => `${row} (${fault})`).join(", ");
  return [
    ...(notChosen.length > 0 ? [`Not chosen, so nothing is proved of: ${notChosen.join(", ")}.`] : []),
    ...(notFitted.length > 0 ? [`Not fitted, so nothing is proved of: ${notFitted.join(", ")}.`] : []),
    ...(notShown.length > 0 ? [`Fitted, but not shown at the pins: ${faults}.`] : []),
  ];
}
