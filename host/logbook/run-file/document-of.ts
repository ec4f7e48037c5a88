// The settings of a run as a document: of this version, the very ones that were in force, and sound; else why not.
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { type SettingsBlock, settingsCrcOf } from "./run-file.ts";

/** Why a run's settings cannot be used: nobody has them, they are of another version, of another run, or break a rule. */
export type Unusable = "missing" | "other-version" | "other-settings" | "unsound";

/** `crc`: the check sum that the run's own pages name, where they are known. */
export function documentOf(
  settings: SettingsBlock | undefined,
  crc: number | undefined,
): Document | Unusable {
  if (settings === undefined) return "missing";
  if (settings.fingerprint !== FINGERPRINT) return "other-version";
  if (crc !== undefined && settingsCrcOf(settings) !== crc) return "other-settings";
  const words = fromBytes(settings.block);
  return words.length === WORDS.length && validate(words).length === 0 ? unpack(words) : "unsound";
}
