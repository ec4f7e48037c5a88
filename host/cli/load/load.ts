// `headgate load FILE`: the whole way of a settings file into a controller, ending in one clear line.
import type { AddCommand } from "../command.ts";
import type { Result, Session } from "../session.ts";
import { type LoadOptions, withLoad, withWait } from "./options.ts";

async function load(session: Session, file: string, options: LoadOptions): Promise<Result> {
  const { loadSettings } = await import("./load-settings.ts");
  const { goodFile } = await import("../settings/settings-file.ts");
  return loadSettings(session, withWait(session, options), goodFile(session, file));
}

export const addLoad: AddCommand = (program, act) => {
  withLoad(program.command("load"))
    .argument("<file>", "settings file")
    .description("check a settings file, show what changes, load it, read it back")
    .action(act(load));
};
