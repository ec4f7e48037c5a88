// `headgate rehearse`: one launch on the emulated board with a settings file, and what the solenoid pins did.

import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface RehearseOptions {
  readonly html: string;
}

async function rehearse(
  session: Session,
  file: string | undefined,
  options: RehearseOptions,
): Promise<Result> {
  const { rehearseFile } = await import("./run-rehearsal.ts");
  const { goodFile } = await import("../settings/settings-file.ts");
  const { packageFile } = await import("../package-file.ts");
  const good = goodFile(session, file ?? packageFile("host", "demo", "street-coupe.yaml"));
  return rehearseFile(session, good, options.html);
}

export const addRehearse: AddCommand = (program, act) => {
  withCommon(program.command("rehearse"))
    .argument("[file]", "settings file (default: the demo's own)")
    .option("--html <file>", "where to write the page with the plots", "headgate-run.html")
    .description("load settings into the emulated board, arm it, make one launch, show what the pins did")
    .action(act(rehearse));
};
