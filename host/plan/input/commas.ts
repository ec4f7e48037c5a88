/** Decimal commas within brackets and braces, which YAML takes for the end of a value: what was torn apart is named as one. */
import { type Document, isCollection, isMap, isScalar, isSeq, type Node } from "yaml";

type Path = readonly (string | number)[];

/** An error of form before it has a place. */
export interface FormError {
  readonly path: Path;
  readonly message: string;
  readonly remedy: string;
}

const AGAIN = "write a point for a decimal comma, and a space behind a comma that parts two values";
const TORN = /\d,\d/u;

const nodeAt = (document: Document, path: Path): unknown =>
  path.length === 0 ? document.contents : document.getIn(path, true);

/** The key before an unknown one that is only the end of its number: `4` and `1` of `{final-drive: 4,1}`. */
function beforeKey(document: Document, path: Path): { key: string; text: string } | undefined {
  const map = nodeAt(document, path.slice(0, -1));
  const end = String(path.at(-1));
  if (!isMap(map) || !/^\d/u.test(end)) return undefined;
  const at = map.items.findIndex(({ key }) => String(key) === end);
  const before = map.items[at - 1];
  if (before === undefined || !isScalar(before.value) || typeof before.value.value !== "number")
    return undefined;
  const written = map.items[at]!.key;
  const decimals = isScalar(written) ? (written.source ?? end) : end;
  return { key: String(before.key), text: `${before.value.source ?? before.value.value},${decimals}` };
}

/** The nearest list around a path that has a comma between two digits. */
function tornList(document: Document, path: Path, source: string): Path | undefined {
  for (let depth = path.length; depth > 0; depth--) {
    const list = nodeAt(document, path.slice(0, depth));
    if (!isSeq(list) || list.items.some((item) => isCollection(item))) continue;
    const [start, end] = (list as Node).range ?? [0, 0];
    return TORN.test(source.slice(start, end)) ? path.slice(0, depth) : undefined;
  }
  return undefined;
}

function joined(document: Document, source: string, error: FormError): FormError {
  const before = beforeKey(document, error.path);
  if (before !== undefined)
    return {
      path: [...error.path.slice(0, -1), before.key],
      message: `"${before.text}" has a comma in its number; within braces it begins the next key`,
      remedy: AGAIN,
    };
  const list = tornList(document, error.path, source);
  if (list === undefined) return error;
  return {
    path: list,
    message: "a comma stands between two digits; within brackets it begins the next value",
    remedy: AGAIN,
  };
}

/** The same errors, with those of one decimal comma as one, which takes the place of what is said of its halves. */
export function withCommas(document: Document, source: string, errors: readonly FormError[]): FormError[] {
  const all = errors.map((error) => ({ error, found: joined(document, source, error) }));
  const where = ({ path }: FormError): string => path.join(".");
  const torn = new Set(all.filter(({ error, found }) => found !== error).map(({ found }) => where(found)));
  const kept = all.filter(({ error, found }) => found !== error || !torn.has(where(error)));
  return kept
    .map(({ found }) => found)
    .filter(
      (found, i, list) =>
        !torn.has(where(found)) || list.findIndex((other) => where(other) === where(found)) === i,
    );
}
