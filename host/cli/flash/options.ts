// Options of `headgate flash`.
import type { PortOptions } from "../line/connect.ts";

/** Options of the command. */
export interface FlashOptions extends PortOptions {
  readonly image?: string | undefined;
  readonly volume?: string | undefined;
  /** For the settings that are loaded after the flash. */
  readonly weaken?: true | undefined;
  readonly yes?: true | undefined;
  readonly dryRun?: true | undefined;
}
