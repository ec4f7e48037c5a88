// Options of every command that loads settings, and how long such a command waits for a controller.
import type { PortOptions } from "../line/connect.ts";
import { withPort, withTransferBaud } from "../options.ts";
import type { Session } from "../session.ts";

/** Options of whatever loads settings. */
export interface LoadOptions extends PortOptions {
  readonly yes?: true | undefined;
  /** Load although a protection goes away or widens. */
  readonly weaken?: true | undefined;
  readonly otherBoard?: true | undefined;
  /** Look at everything and write nothing. */
  readonly dryRun?: true | undefined;
  /** Undefined: as fast as the line carries. */
  readonly transferBaud?: number | undefined;
}

/** How long a person at a terminal may take to plug in and switch on, seconds. */
const PERSON_WAITS = 30;

/** Options with the wait that suits who runs it: a person at a terminal may still have to plug in. */
export function withWait(session: Session, options: LoadOptions): LoadOptions {
  return { ...options, wait: options.wait ?? (session.interactive ? PERSON_WAITS : 0) };
}

const WEAKEN = ["--weaken", "load without the typed word although a protection goes away or widens"] as const;

/** Adds the options of whatever loads settings. */
export function withLoad<
  A extends unknown[],
  O extends Record<string, unknown>,
  G extends Record<string, unknown>,
>(command: Parameters<typeof withPort<A, O, G>>[0]) {
  return withTransferBaud(withPort(command))
    .option("--yes", "load without asking")
    .option(...WEAKEN)
    .option("--other-board", "load without asking although the file went into another board before")
    .option("--dry-run", "show what would change and what would protect less, and write nothing");
}
