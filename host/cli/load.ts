// `headgate load FILE`: the whole way of a settings file into a controller, ending in one clear line.
import type { PortOptions } from "./connect.ts";
import { withPort } from "./options.ts";
import type { AddCommand } from "./program.ts";
import type { Result, Session } from "./session.ts";

export interface LoadOptions extends PortOptions {
  readonly yes?: true | undefined;
}

async function load(session: Session, file: string, options: LoadOptions): Promise<Result> {
  const { NOT_LOADED, loadSettings } = await import("./loading.ts");
  session.verdict = NOT_LOADED;
  const { goodFile } = await import("./settings-file.ts");
  return loadSettings(session, options, goodFile(session, file));
}

export const addLoad: AddCommand = (program, act) => {
  withPort(program.command("load"))
    .argument("<file>", "settings file")
    .option("--yes", "load without asking")
    .description("check a settings file, show what changes, load it, read it back")
    .action(act(load));
};
