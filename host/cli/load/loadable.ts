// Settings on their way into a controller, from a user's file or from a copy.
import type { Document } from "#shared-schema/settings/pack.ts";

/** Checked settings. */
export interface ToLoad {
  readonly file: string;
  readonly document: Document;
  readonly block: Uint8Array;
  readonly hash: string;
  /** What was changed to migrate the file. */
  readonly migrated: readonly string[];
  /** Only for a copy out of the history, which belongs to its board by its place: its name there and when it was kept. */
  readonly copy?: { readonly name: string | undefined; readonly kept: string };
}
