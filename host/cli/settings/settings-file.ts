// A settings file given on the command line: read, checked, and refused as a whole when anything is wrong in it.
import { Failure } from "#host/errors/failure.ts";
import { countLine, findingLines } from "#host/report/terminal/issues.ts";
import { type Checked, checkSettings } from "#host/settings/check.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import type { SettingsCaution } from "#host/settings/issue.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
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
  const checked = checkFile(session, file);
  const { document, name, issues, cautions, migrated } = checked;
  if (!session.json && issues.length + cautions.length + migrated.length > 0)
    for (const line of linesOf(session, checked)) session.talk(line);
  if (document === undefined) {
    const what = `${file} has ${countLine(issues.length, cautions.length)}; nothing was sent`;
    throw new Failure("bad-settings", { what, data: findingData(checked) });
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
