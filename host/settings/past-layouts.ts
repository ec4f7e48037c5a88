// Settings blocks of past versions, distinguished by their fingerprint: read as what they lack against the present table, never as the present one.
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { formatSettings } from "./write.ts";

/** How a past version stored its settings. */
export interface PastLayout {
  readonly version: number;
  readonly fingerprint: number;
  /** Paths of the words that it has not. All others stand in the present order, and no stage lacks one. */
  readonly lacks: readonly string[];
}

/** Words that came with version 5, and with version 4. */
const SINCE_5: readonly string[] = ["clamps", "clamps.kickMv"];
const SINCE_4: readonly string[] = ["road.sender", ...SINCE_5];

/** All past layouts whose images may still be in a controller. */
export const PAST_LAYOUTS: readonly PastLayout[] = [
  { version: 1, fingerprint: 0x9acdb442, lacks: ["engine.jump.unevennessPermille", ...SINCE_4] },
  { version: 2, fingerprint: 0x39efc202, lacks: SINCE_4 },
  { version: 3, fingerprint: 0x4017966a, lacks: SINCE_4 },
  { version: 4, fingerprint: 0x9255e01d, lacks: SINCE_5 },
];

/** The past layout with that fingerprint; undefined for the present one and for any that is not known. */
export function pastLayout(fingerprint: number): PastLayout | undefined {
  return PAST_LAYOUTS.find((layout) => layout.fingerprint === fingerprint);
}

/** Bytes of a block in a past layout. */
export const pastBytes = ({ lacks }: PastLayout): number => 2 * (WORDS.length - lacks.length);

/** The document without the value at a path. */
function without(document: Document, [first = "", ...rest]: readonly string[]): Document {
  const { [first]: inner, ...others } = document;
  if (rest.length === 0 || inner === undefined) return others;
  return { ...document, [first]: without(inner as Document, rest) };
}

/** A block that its controller holds valid, as a settings file of its own version. */
export function textOfPast(layout: PastLayout, block: Uint8Array, name: string): string {
  const past = fromBytes(block);
  let at = 0;
  const words = WORDS.map(({ path }) => (layout.lacks.includes(path) ? 0 : (past[at++] ?? 0)));
  const document = layout.lacks.reduce((left, path) => without(left, path.split(".")), unpack(words));
  return formatSettings(document, { name, version: layout.version });
}
