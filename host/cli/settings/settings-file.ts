// A settings file given on the command line: read, checked, and refused as a whole when anything is wrong in it.
import { ERRORS } from "#host/errors/codes.ts";
import { Failure } from "#host/errors/failure.ts";
import { countLine, findingLines } from "#host/report/terminal/issues.ts";
import { shellWord } from "#host/report/terminal/shell-word.ts";
import { type Checked, checkSettings } from "#host/settings/check.ts";
import { fixSettings } from "#host/settings/fix.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import type { SettingsCaution } from "#host/settings/issue.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { requireKind } from "../file-kind.ts";
import { readText } from "../files.ts";
import type { Session } from "../session.ts";

/** A file that passed its check. */
export interface GoodFile {
  readonly file: string;
  readonly name: string | undefined;
  readonly document: Document;
  readonly block: Uint8Array;
  readonly hash: string;
  readonly migrated: readonly string[];
  readonly cautions: readonly SettingsCaution[];
}

/** A file with what its check found. */
export interface CheckedFile extends Checked {
  readonly file: string;
  readonly text: string;
}

export function checkFile(session: Session, file: string): CheckedFile {
  const text = readText(session.io, file);
  return { file, text, ...checkSettings(text) };
}

/** Findings as lines for a stream of this width. */
export function linesOf(session: Session, checked: CheckedFile): string[] {
  const { issues, cautions, migrated } = checked;
  return [
    ...migrated.map((note) => `migrated (the file itself is unchanged): ${note}`),
    ...findingLines(checked, issues, cautions, session.width, session.paint),
    `${checked.file}: ${countLine(issues.length, cautions.length)}`,
  ];
}

/** How many errors are only written wrongly, and the command that mends them; undefined where it would mend none. */
export function fixHint({ file, text, issues }: CheckedFile): string | undefined {
  const mended = issues.length === 0 ? [] : fixSettings(text).fixes.filter(({ kind }) => kind !== "order");
  if (mended.length === 0) return undefined;
  const rest = mended.length < issues.length ? "; correct the other places shown" : "";
  return `\`headgate check --fix ${shellWord(file)}\` mends ${mended.length} of them${rest}`;
}

/** Findings as data. */
export function findingData({
  file,
  issues,
  cautions,
  document,
  name,
  migrated,
}: CheckedFile): Record<string, unknown> {
  return {
    file,
    ...(name === undefined ? {} : { name }),
    hash: document ? settingsHash(document) : null,
    issues,
    cautions,
    migrated,
  };
}

/** The file as settings. Talks about cautions; fails with `bad-settings` after talking about every error. */
export function goodFile(session: Session, file: string): GoodFile {
  requireKind(session.io, file, "settings");
  const checked = checkFile(session, file);
  const { document, name, issues, cautions, migrated } = checked;
  if (!session.json && issues.length + cautions.length + migrated.length > 0)
    for (const line of linesOf(session, checked)) session.talk(line);
  if (document === undefined) {
    const what = `${file} has ${countLine(issues.length, cautions.length)}; nothing was sent`;
    const todo = fixHint(checked) ?? ERRORS["bad-settings"].todo;
    throw new Failure("bad-settings", { what, todo, data: findingData(checked) });
  }
  return {
    file,
    name,
    document,
    block: settingsBytes(document),
    hash: settingsHash(document),
    migrated,
    cautions,
  };
}
