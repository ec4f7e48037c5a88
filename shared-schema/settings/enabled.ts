// Which interlocks a settings document switches on.
import { INTERLOCKS, type Interlock } from "../model/interlocks.ts";
import type { Document } from "./pack.ts";

/** What stands at a path of a document, as `stages.0.ramp`; undefined when nothing does. */
export const valueAt = (document: Document, path: string): unknown =>
  path.split(".").reduce<unknown>((value, part) => (value as Document | undefined)?.[part], document);

/** Is a setting there? One of the first stage counts for any stage. */
function isThere(document: Document, path: string): boolean {
  const stages = document.stages as unknown[];
  const paths = stages.map((_, s) => path.replace(/^stages\.0\./, `stages.${s}.`));
  return paths.some((each) => valueAt(document, each) !== undefined);
}

/** Does the document switch this interlock on? Those that no setting switches are always on. */
export const isEnabled = ({ enabledBy }: Pick<Interlock, "enabledBy">, document: Document): boolean =>
  enabledBy.length === 0 || enabledBy.some((path) => isThere(document, path));

/** Interlocks that the document does not switch on, in the order of the catalogue. */
export const notEnabled = (document: Document): Interlock[] =>
  INTERLOCKS.filter((row) => !isEnabled(row, document));
