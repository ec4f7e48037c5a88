// `headgate replay RUN`: the recorded run through the real control core, with its own settings or with others.

import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { withPort, withTransferBaud } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly settings?: string | undefined;
  readonly recordedWith?: string | undefined;
  readonly transferBaud?: number | undefined;
}

async function replay(session: Session, what: string, options: Options): Promise<Result> {
  const { replayRun } = await import("./run-replay.ts");
  const { runAtHand, runOrFile } = await import("./run-at-hand.ts");
  const { goodFile } = await import("../settings/settings-file.ts");
  const own = options.recordedWith === undefined ? undefined : goodFile(session, options.recordedWith);
  const other = options.settings === undefined ? undefined : goodFile(session, options.settings);
  const found = await runAtHand(session, runOrFile(session.io, what), options, options.transferBaud);
  for (const lack of found.lacks) session.talk(lack);
  return replayRun(session, found, own, other);
}

export const addReplay: AddCommand = (program, act) => {
  withTransferBaud(withPort(program.command("replay")))
    .argument("<run>", "number of the run, as `headgate runs` lists it, last, or a run file")
    .option("--settings <file>", "settings file to try in place of the run's own")
    .option("--recorded-with <file>", "settings file that was in force in the run, where nothing else has it")
    .description("put a stored run through the control core again, also with other settings")
    .action(act(replay));
};
