// `headgate pull RUN`: one stored run as comma-separated values, on stdout or in a new file.

import type { Run } from "#host/logbook/runs.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import type { AddCommand } from "../command.ts";
import type { Connection, PortOptions } from "../line/connect.ts";
import { wholeNumber, withPort, withTransferBaud } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly out?: string | undefined;
  readonly transferBaud?: number | undefined;
}

const MOST_RUN = 0xffff_ffff;

async function fetchRun(
  session: Session,
  { client, device }: Connection,
  number: number,
  baud = BAUD_MAX,
): Promise<Run> {
  const { requireFit } = await import("#host/link/device.ts");
  const { atSpeed } = await import("#host/link/speed.ts");
  const { LinkLog } = await import("#host/link/log.ts");
  const { pauseOn } = await import("#host/link/clock.ts");
  const { pullRun, settledInfo } = await import("#host/logbook/runs.ts");
  requireFit(device);
  const log = new LinkLog(client);
  const show = session.progress("read");
  const work = async (): Promise<Run> =>
    pullRun(log, await settledInfo(log, pauseOn(session.io.clock)), number, show.update);
  try {
    return await atSpeed(client, baud, work);
  } finally {
    show.end();
  }
}

/** What is not as it was recorded, in words. */
function lacks({ complete, lostPages }: Run): string[] {
  return [
    ...(lostPages > 0 ? [`${lostPages} damaged pages left out, up to 9 records in each`] : []),
    ...(complete ? [] : ["the run is cut short: its beginning or its end is not in the log"]),
  ];
}

async function pull(session: Session, number: number, options: Options): Promise<Result> {
  const { requireNew, writeNew } = await import("../files.ts");
  if (options.out !== undefined) requireNew(session.io, options.out);
  const { withController } = await import("../line/connect.ts");
  const { csvOf } = await import("#host/logbook/csv.ts");
  const run = await withController(session, options, (connection) =>
    fetchRun(session, connection, number, options.transferBaud),
  );
  const { records, ...facts } = run;
  const text = csvOf(records);
  if (options.out === undefined) {
    for (const lack of lacks(run)) session.talk(lack);
    return { data: { ...facts, records }, lines: [text.trimEnd()] };
  }
  writeNew(session.io, options.out, text);
  const done = `wrote ${options.out}: run ${number}, ${records.length} records`;
  return {
    data: { ...facts, file: options.out, records: records.length },
    lines: [done, ...lacks(run)].flatMap((line) => session.wrapped(line)),
  };
}

export const addPull: AddCommand = (program, act) => {
  withTransferBaud(withPort(program.command("pull")))
    .argument("<run>", "number of the run, as `headgate runs` lists it", wholeNumber(1, MOST_RUN))
    .option("--out <file>", "write a new file instead of stdout")
    .description("read a stored run as comma-separated values")
    .action(act(pull));
};
