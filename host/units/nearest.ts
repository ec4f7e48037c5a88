/** Nearest known name to an unknown one; a suggestion is made only when it is close. */

/**
 * Optimal string alignment distance: insertions, deletions, substitutions and swaps of neighbours.
 * Damerau, Communications of the ACM 7 (1964) 171.
 */
export function editDistance(a: string, b: string): number {
  const rows = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min(rows[i - 1]![j]! + 1, row[j - 1]! + 1, rows[i - 1]![j - 1]! + change);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) best = Math.min(best, rows[i - 2]![j - 2]! + 1);
      row.push(best);
    }
    rows.push(row);
  }
  return rows[a.length]![b.length]!;
}

/**
 * The candidate nearest to `name`, letter case counting least, or undefined when none is within
 * a third of its length (at least one letter). Of equals the first given wins.
 */
export function nearestName(name: string, candidates: Iterable<string>): string | undefined {
  const wanted = name.toLowerCase();
  let best: string | undefined;
  let bestDistance = Math.max(1, Math.floor(name.length / 3)) + 0.5;
  for (const candidate of candidates) {
    const folded = editDistance(wanted, candidate.toLowerCase());
    const distance = folded + (candidate.toLowerCase() === candidate ? 0 : 0.1);
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}
