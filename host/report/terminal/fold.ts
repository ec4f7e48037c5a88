// A screen of a fixed height: what matters most stands first, and what matters least gives way first.
import { wrap } from "./wrap.ts";

/** A part of a screen. */
export interface Section {
  readonly name: string;
  /** The same told at length and ever shorter. */
  readonly forms: readonly (readonly string[])[];
}

/** Room for lines. `height` may be infinite. */
export interface Room {
  readonly width: number;
  readonly height: number;
}

const shortest = ({ forms }: Section): readonly string[] => forms.at(-1) ?? [];
const count = (parts: readonly (readonly string[])[]): number =>
  parts.reduce((sum, lines) => sum + lines.length, 0);

/** Which sections there is no place for. */
function note(left: readonly Section[], width: number): string[] {
  const names = left.filter((section) => shortest(section).length > 0).map(({ name }) => name);
  return names.length === 0 ? [] : wrap(`no room here for: ${names.join(", ")}`, width, 2);
}

/** Each section in the fullest form that leaves the later ones their shortest. */
function fullest(sections: readonly Section[], spare: number): (readonly string[])[] {
  let left = spare;
  return sections.map((section) => {
    const least = shortest(section);
    const form = section.forms.find((lines) => lines.length - least.length <= left) ?? least;
    left -= form.length - least.length;
    return form;
  });
}

/** Parts with an empty line between them where there is room for that. */
function aired(parts: readonly (readonly string[])[], height: number): string[] {
  const there = parts.filter((lines) => lines.length > 0);
  const fits = count(there) + there.length - 1 <= height;
  return there.flatMap((lines, n) => (fits && n > 0 ? ["", ...lines] : lines));
}

/**
 * Lines of a screen, never more than its height. Sections come in the order given; where they do not fit, the last are left
 * out first, and a line says which; what room is then left goes to the first ones first.
 */
export function fold(sections: readonly Section[], { width, height }: Room): string[] {
  for (let keep = sections.length; keep > 0; keep--) {
    const [kept, left] = [sections.slice(0, keep), sections.slice(keep)];
    const told = note(left, width);
    const spare = height - told.length - count(kept.map(shortest));
    if (spare >= 0) return aired([...fullest(kept, spare), told], height);
  }
  return sections.flatMap(shortest).slice(0, height);
}
