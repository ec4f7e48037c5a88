// Two lists side by side: what stands in both, in order, and what stands in one alone.

/** One row: from the first list, from the second, or from both. */
export type Pair<T> = readonly [first: T | undefined, second: T | undefined];

/** Lengths of the longest common subsequence of the rests from each place on. */
function commonFrom(a: readonly string[], b: readonly string[]): number[][] {
  const common = Array.from({ length: a.length + 1 }, () => new Array<number>(b.length + 1).fill(0));
  for (let i = a.length - 1; i >= 0; i--)
    for (let j = b.length - 1; j >= 0; j--)
      common[i]![j] =
        a[i] === b[j] ? common[i + 1]![j + 1]! + 1 : Math.max(common[i + 1]![j]!, common[i]![j + 1]!);
  return common;
}

/** Pairs of entries with the same key, as many as the order of both allows; the others alone, those of the first list first. */
export function paired<T>(first: readonly T[], second: readonly T[], key: (entry: T) => string): Pair<T>[] {
  const [a, b] = [first.map(key), second.map(key)];
  const common = commonFrom(a, b);
  const rows: Pair<T>[] = [];
  let [i, j] = [0, 0];
  while (i < first.length || j < second.length) {
    if (i < first.length && j < second.length && a[i] === b[j]) rows.push([first[i++], second[j++]]);
    else if (j >= second.length || (i < first.length && common[i + 1]![j]! >= common[i]![j + 1]!))
      rows.push([first[i++], undefined]);
    else rows.push([undefined, second[j++]]);
  }
  return rows;
}
