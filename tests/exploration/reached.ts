// What an exploration has reached, in words: each latch and each end of a time with the modes that it was seen in, and what was never seen.
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import type { Part } from "./discrete.ts";
import type { Explored } from "./explorer.ts";

/** Parts of more values than these are sets of bits: they are counted. */
const MOST_VALUES = 12;

/** Modes in which a value of a part was seen. */
export function modesOf({ values }: Explored, part: string, value: number): string[] {
  const counts = values.get(part)?.get(value) ?? [];
  return MODES.filter((_, mode) => (counts[mode] ?? 0) > 0);
}

function valueName({ name, limits, of }: Part, value: number): string {
  if (name === "trip") return INTERLOCKS[value]?.id ?? "none";
  if (name === "mode") return MODES[value] ?? "unknown";
  if (!limits || of) return String(value);
  return ["0", "between", ...limits.map((limit) => `at ${limit}`)][value] ?? "unknown";
}

/** One line for each value of each part. */
export function reachedText(explored: Explored): string {
  return explored.parts
    .flatMap((part) => {
      const seen = [...(explored.values.get(part.name)?.keys() ?? [])].sort((a, b) => a - b);
      if (seen.length > MOST_VALUES && part.name !== "trip") return [`  ${part.name}: ${seen.length} values`];
      return seen.map(
        (value) =>
          `  ${part.name} ${valueName(part, value)}: ${modesOf(explored, part.name, value).join(", ")}`,
      );
    })
    .join("\n");
}

/** Ends of times, and causes that trip or lock, that were never reached. */
export function neverReached(explored: Explored): string[] {
  const ends = explored.parts.flatMap((part) => {
    const first = part.begun ? [1] : [0, 1];
    const levels = part.limits && !part.of ? [...first, ...part.limits.map((_, i) => i + 2)] : [];
    const missed = levels.filter((level) => modesOf(explored, part.name, level).length === 0);
    return missed.map((level) => `${part.name} ${valueName(part, level)}`);
  });
  const causes = INTERLOCKS.flatMap(({ id, reaction }, number) => {
    const latches = reaction === "trip" || reaction === "lockout";
    return latches && modesOf(explored, "trip", number).length === 0 ? [`trip ${id}`] : [];
  });
  return [...ends, ...causes];
}
