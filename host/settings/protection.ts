// What protection goes away or widens between two documents, in words, before it is loaded.
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { inUse, WORDS, type Word } from "#shared-schema/settings/words.ts";
import { fieldOf } from "./field.ts";
import { type Guard, guardOf } from "./protection-table.ts";
import { storageOf, writeStored } from "./stored.ts";

/** `lost`: a protection is left out. `wider`: a limit allows more. `meaning`: what is measured or asked for means something else. */
export interface Weakening {
  readonly field: string;
  readonly kind: "lost" | "wider" | "meaning";
  /** Ids of the interlocks that act no more. */
  readonly interlocks: readonly string[];
  readonly text: string;
}

/** Path in the table of a word: list places as N, all of a ramp's points as one. */
const general = (path: string): string =>
  path.replace(/\.\d+(?=\.|$)/g, ".N").replace(/(?<=\.points)\..*/, "");

/** Interlocks that only this group switches on; the catalogue names the first stage for any. */
function interlocksOf(path: string): string[] {
  const first = path.replace(/^stages\.\d+\./, "stages.0.");
  return INTERLOCKS.filter(({ enabledBy }) => enabledBy.includes(first)).map(({ id }) => id);
}

function valueText({ node, role }: Word, raw: number): string {
  if (role === "count") return `${raw} entries`;
  if (node.kind === "number") return writeStored(raw, storageOf(node));
  return node.kind === "choice" ? (node.options[raw] ?? String(raw)) : String(raw);
}

function lost({ path, node }: Word): Weakening {
  const field = fieldOf(path);
  const interlocks = interlocksOf(path);
  const gone = interlocks.length === 0 ? "" : `; it no longer acts for ${interlocks.join(", ")}`;
  return { field, kind: "lost", interlocks, text: `${field} is left out (${node.meaning})${gone}` };
}

/** Does a setting that protects so allow more after a change? */
const ALLOWS_MORE: Readonly<Record<Exclude<Guard, "meaning">, (was: number, is: number) => boolean>> = {
  lower: (was, is) => is > was,
  higher: (was, is) => is < was,
  presence: () => false,
  none: () => false,
};

function changed(word: Word, was: number, is: number): Weakening | undefined {
  const field = fieldOf(word.path);
  const guard = guardOf(general(word.path));
  const step = `${field} goes from ${valueText(word, was)} to ${valueText(word, is)}`;
  if (guard === "meaning") {
    const text = `${step}: everything that builds on it means something else (${word.node.meaning})`;
    return { field, kind: "meaning", interlocks: [], text };
  }
  if (!ALLOWS_MORE[guard](was, is)) return undefined;
  return {
    field,
    kind: "wider",
    interlocks: [],
    text: `${step}, which allows more (${word.node.meaning})`,
  };
}

/**
 * Everything by which `after` protects less than `before`, in the order of the table. What stands on one side only (a
 * stage that is new or gone) is compared as far as it is there on both. Ramps are no protection: they are the flow itself.
 */
export function weakenings(before: Document, after: Document): Weakening[] {
  const [was, is] = [pack(before), pack(after)];
  return WORDS.flatMap((word) => {
    const [old, now] = [was[word.index]!, is[word.index]!];
    if (old === now || !inUse(word, was) || !inUse(word, is)) return [];
    if (word.role !== "present") return changed(word, old, now) ?? [];
    return old === 1 && guardOf(general(word.path)) === "presence" ? [lost(word)] : [];
  });
}
