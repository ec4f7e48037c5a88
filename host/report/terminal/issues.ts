// Findings of a settings file in lines: place, the line itself with a mark under it, what it got, what it takes, the remedy.
import { ERRORS } from "#host/errors/codes.ts";
import { byPlace, type Issue, type Place, type SettingsCaution } from "#host/settings/issue.ts";
import type { Paint } from "./terminal.ts";
import { labelled, printable, wrap } from "./wrap.ts";

/** The file that was checked. */
export interface CheckedText {
  readonly file: string;
  readonly text: string;
}

const INDENT = "    ";

function quote({ text }: CheckedText, place: Place, width: number): string[] {
  const line = printable((text.split("\n")[place.line - 1] ?? "").replaceAll("\t", " ").trimEnd());
  const lead = line.length - line.trimStart().length;
  const room = width - INDENT.length;
  const shown = line.trimStart().slice(0, room);
  const from = place.column - 1 - lead;
  if (shown === "" || from < 0 || from >= room) return shown === "" ? [] : [INDENT + shown];
  return [INDENT + shown, INDENT + " ".repeat(from) + "^".repeat(Math.min(place.length, room - from))];
}

const where = ({ file }: CheckedText, place: Place): string =>
  `${printable(file)}:${place.line}:${place.column}`;

function issueLines(source: CheckedText, issue: Issue, width: number, paint: Paint): string[] {
  const facts: [string, string | undefined][] = [
    ["got  ", issue.got && printable(issue.got)],
    ["takes", issue.takes],
    ["near ", issue.nearest && `did you mean \`${issue.nearest}\`?`],
    ["do   ", ERRORS[issue.code].todo],
    ["rule ", issue.rule && `${issue.rule} (headgate explain ${issue.rule})`],
  ];
  return [
    paint.strong(`${where(source, issue)}  ${printable(issue.field || "file")}`),
    ...quote(source, issue, width),
    ...wrap(`${issue.code}: ${printable(issue.text)}`, width - 2, 2).map((line) => `  ${paint.bad(line)}`),
    ...facts.flatMap(([label, fact]) => (fact === undefined ? [] : labelled(`  ${label}`, fact, width))),
    "",
  ];
}

function cautionLines(source: CheckedText, caution: SettingsCaution, width: number, paint: Paint): string[] {
  return [
    paint.strong(`${where(source, caution)}  ${caution.field}`),
    ...wrap(`caution ${caution.caution}: ${caution.text}`, width - 2, 2).map(
      (line) => `  ${paint.warn(line)}`,
    ),
    "",
  ];
}

/** All findings: errors first, then cautions, each in the order of the file. */
export function findingLines(
  source: CheckedText,
  issues: readonly Issue[],
  cautions: readonly SettingsCaution[],
  width: number,
  paint: Paint,
): string[] {
  return [
    ...[...issues].sort(byPlace).flatMap((issue) => issueLines(source, issue, width, paint)),
    ...[...cautions].sort(byPlace).flatMap((caution) => cautionLines(source, caution, width, paint)),
  ];
}

/** One line: how many errors and cautions. */
export function countLine(issues: number, cautions: number): string {
  const of = (n: number, one: string): string => `${n} ${one}${n === 1 ? "" : "s"}`;
  return `${of(issues, "error")}, ${of(cautions, "caution")}`;
}
