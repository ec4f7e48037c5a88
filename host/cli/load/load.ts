// `headgate load FILE`: the whole way of a settings file into a controller, ending in one clear line.
import type { PortOptions } from "../line/connect.ts";
import { withPort, withTransferBaud } from "../options.ts";
import type { Act, AddCommand } from "../program.ts";
import type { Result, Session } from "../session.ts";

/** Options of whatever loads settings. */
export interface LoadOptions extends PortOptions {
  readonly yes?: true | undefined;
  readonly otherBoard?: true | undefined;
  /** Undefined: as fast as the line carries. */
  readonly transferBaud?: number | undefined;
}

/** How long a person at a terminal may take to plug in and switch on, seconds. */
const PERSON_WAITS = 30;

/** Options with the wait that suits who runs it: a person at a terminal may still have to plug in. */
export function withWait(session: Session, options: LoadOptions): LoadOptions {
  return { ...options, wait: options.wait ?? (session.interactive ? PERSON_WAITS : 0) };
}

async function load(session: Session, file: string, options: LoadOptions): Promise<Result> {
  const { loadSettings } = await import("./load-settings.ts");
  const { goodFile } = await import("../settings/settings-file.ts");
  return loadSettings(session, withWait(session, options), goodFile(session, file));
}

/** Adds the options of whatever loads settings. */
export function withLoad<
  A extends unknown[],
  O extends Record<string, unknown>,
  G extends Record<string, unknown>,
>(command: Parameters<typeof withPort<A, O, G>>[0]) {
  return withTransferBaud(withPort(command))
    .option("--yes", "load without asking")
    .option("--other-board", "load without asking although the file went into another board before");
}

export const addLoad: AddCommand = (program, act: Act) => {
  withLoad(program.command("load"))
    .argument("<file>", "settings file")
    .description("check a settings file, show what changes, load it, read it back")
    .action(act(load));
};
