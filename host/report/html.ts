// Pieces of HTML that every page is made of: escaped text, tables that become cards on a phone, paragraphs, lists, the cautions.
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";

/** Text made safe to stand in HTML. */
export function escapeHtml(text: string): string {
  return text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);
}

/** From so many columns on a table is too wide for a phone: there each row stands as a card. */
const WIDE_COLUMNS = 4;

/** A number with its unit, which must not part from it at the end of a line. */
const QUANTITY = /^[-+]?[\d.]+ [\w/%]+( gauge| absolute)?$/;

/** A table; cells are escaped, columns named in `numeric` are set to the right. */
export function htmlTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  numeric: readonly number[] = [],
): string {
  const wide = head.length >= WIDE_COLUMNS;
  const aligned = (i: number, text = ""): string => {
    if (numeric.includes(i)) return ' class="n"';
    return QUANTITY.test(text) ? ' class="q"' : "";
  };
  const named = (i: number): string => (wide ? ` data-label="${escapeHtml(head[i] ?? "")}"` : "");
  const title = (text: string, i: number): string =>
    text === "" ? "<td></td>" : `<th scope="col"${aligned(i)}>${escapeHtml(text)}</th>`;
  const cell = (text: string, i: number): string =>
    `<td${aligned(i, text)}${named(i)}>${escapeHtml(text)}</td>`;
  const body = rows.map((cells) => `<tr>${cells.map(cell).join("")}</tr>`).join("");
  return `<table${wide ? ' class="wide"' : ""}><thead><tr>${head.map(title).join("")}</tr></thead><tbody>${body}</tbody></table>`;
}

/** A paragraph for each line. */
export const paragraphs = (lines: readonly string[]): string =>
  lines.map((line) => `<p>${escapeHtml(line)}</p>`).join("");

/** The cautions in their box. */
export function cautionsHtml(): string {
  const items = SAFETY_NOTICES.map(({ text }) => `<li>${escapeHtml(text)}</li>`);
  return `<div class="caution"><ul>${items.join("")}</ul></div>`;
}
