// What stands beside a part on a sheet: its reference, its value with tolerance, what it withstands, and its type when that is short.
import type { Kind, Part, Rating } from "../circuit/part.ts";
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

/** What the value of a part is, where its unit alone does not tell. */
const MEANS: Partial<Record<Kind, string>> = {
  npn: "gain ",
  diode: "drop ",
  schottky: "drop ",
  "n-fet": "on ",
  relay: "coil ",
};

/** Value with its tolerance, or the type of a part that has no value. */
export function valueText({ kind, value, tolerancePercent, part }: Part): string {
  if (value === undefined) return part;
  const what = MEANS[kind] ?? "";
  return `${what}${written(value)}${tolerancePercent === undefined ? "" : ` ${tolerancePercent} %`}`;
}

/** Lines beside a part. */
export function linesOf(part: Part): string[] {
  const rating = ratingText(part);
  return [
    part.ref,
    valueText(part),
    ...(part.kind === "coil" ? [part.part.replace("coil of the valve ", "valve ")] : []),
    ...(rating === "-" || rating === valueText(part) ? [] : [rating]),
  ];
}
