// Cautions about the settings that were proved, on the certificate: legal, but a careful builder would not leave it so.
import { escapeHtml } from "../html.ts";
import type { Section } from "../page.ts";
import { wrap } from "../terminal/wrap.ts";

/** A caution as the check of the settings found it. */
export interface UnwiseSetting {
  readonly caution: string;
  readonly field: string;
  readonly text: string;
}

const HEADING = "Cautions about these settings";
const sentence = ({ field, text }: UnwiseSetting): string => `${field}: ${text}`;

/** A section of the page; none when there is nothing to caution about. */
export function unwiseSection(cautions: readonly UnwiseSetting[]): Section[] {
  if (cautions.length === 0) return [];
  const items = cautions.map((caution) => `<li>${escapeHtml(sentence(caution))}</li>`).join("");
  return [{ heading: HEADING, html: `<div class="caution"><ul>${items}</ul></div>` }];
}

/** The same as lines for a terminal. */
export function unwiseLines(cautions: readonly UnwiseSetting[], width: number): string[] {
  if (cautions.length === 0) return [];
  return ["", HEADING, ...cautions.flatMap((caution) => wrap(`- ${sentence(caution)}`, width, 2))];
}
