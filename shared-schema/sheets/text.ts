// What stands beside a part on a sheet: its reference, its value with tolerance, what it withstands, and its type when that is short.
import type { Part, Rating } from "../circuit/part.ts";
import { written } from "../generate/note-values.ts";

const UNITS: Readonly<Record<keyof Rating, string>> = { volts: "V", amps: "A", watts: "W" };

/** What a part withstands, as `100 V, 20 A`; `-` for nothing that is stated. */
export function ratingText({ rating }: Part): string {
  const said = (Object.keys(UNITS) as (keyof Rating)[]).flatMap((key) => {
    const rated = rating[key];
    if (rated === undefined) return [];
    return [typeof rated === "number" ? `${rated} ${UNITS[key]}` : written(rated)];
  });
  return [...new Set(said)].join(", ") || "-";
}

/** Value with its tolerance, or the type of a part that has no value. */
export function valueText({ kind, value, tolerancePercent, part }: Part): string {
  if (value === undefined) return part;
  if (kind === "npn") return `gain ${written(value)}`;
  return `${written(value)}${tolerancePercent === undefined ? "" : ` ${tolerancePercent} %`}`;
}

/** Lines beside a part. */
export function linesOf(part: Part): string[] {
  const rating = ratingText(part);
  return [part.ref, valueText(part), ...(rating === "-" || rating === valueText(part) ? [] : [rating])];
}
