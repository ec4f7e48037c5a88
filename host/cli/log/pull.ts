// `headgate pull RUN`: one stored run into a run file that keeps everything, or as comma-separated values.
import { InvalidArgumentError } from "@commander-js/extra-typings";
import { Failure } from "#host/errors/failure.ts";
import { runLacks } from "#host/logbook/lacks.ts";
import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { wholeNumber, withPort, withTransferBaud } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { Pulled, Wanted } from "./pulled.ts";

interface Options extends PortOptions {
  readonly out?: string | undefined;
  readonly car?: string | undefined;
  readonly note?: string | undefined;
  readonly transferBaud?: number | undefined;
}

/** Numbers of runs have 32 bits. */
export const MOST_RUN = 0xffff_ffff;
/** What the name of a run file ends in. */
const RUN_FILE = ".hgrun";
/** Car file and note are one chunk each. */
const MOST_TEXT = 65_536;

/** `last`, or the number of a run. */
export function runNumber(text: string): Wanted {
  if (text === "last") return text;
  try {
    return wholeNumber(1, MOST_RUN)(text);
  } catch {
    throw new InvalidArgumentError("enter the number of a run, or last.");
  }
}

const isRunFile = ({ out }: Options): boolean => out?.endsWith(RUN_FILE) === true;

/** Fails with `usage` when something is to be kept that a file of values cannot hold, or no run file could. */
function requireRoom(options: Options, car: string | undefined): void {
  const { note } = options;
  if ((car ?? note) !== undefined && !isRunFile(options))
    throw new Failure("usage", {
      what: "--car and --note are kept in a run file only",
      todo: `give --out a name that ends in ${RUN_FILE}`,
    });
  for (const [option, text] of Object.entries({ "--car": car, "--note": note }))
    if (text !== undefined && Buffer.byteLength(text) > MOST_TEXT)
      throw new Failure("usage", { what: `${option} is longer than ${MOST_TEXT} bytes` });
}

/** The file, and how it is called. */
async function fileOf(
  { run, pages, facts, settings }: Pulled,
  options: Options,
  car: string | undefined,
): Promise<Uint8Array | string> {
  if (!isRunFile(options)) return (await import("#host/logbook/csv.ts")).csvOf(run.samples);
  const { runFileBytes } = await import("#host/logbook/run-file/run-file.ts");
  const { note } = options;
  return runFileBytes({
    facts,
    pages,
    ...(settings ? { settings } : {}),
    ...(car === undefined ? {} : { car }),
    ...(note === undefined ? {} : { note }),
  });
}

/** What of it is not there, in words. */
function lacksOf({ run, settings }: Pulled, options: Options): string[] {
  const without =
    isRunFile(options) && !settings
      ? ["the settings of this run are not in the file: neither the controller nor any copy has them"]
      : [];
  return [...runLacks(run), ...without];
}

async function pull(session: Session, wanted: Wanted, options: Options): Promise<Result> {
  const { readText, requireNew, writeNew } = await import("../files.ts");
  const { withController } = await import("../line/connect.ts");
  const { pulled } = await import("./pulled.ts");
  const { out } = options;
  const car = options.car === undefined ? undefined : readText(session.io, options.car);
  requireRoom(options, car);
  if (out !== undefined) requireNew(session.io, out);
  const found = await withController(session, options, (connection) =>
    pulled(session, connection, wanted, { baud: options.transferBaud, ticks: isRunFile(options) }),
  );
  const { records, samples: _, ...facts } = found.run;
  const [file, lacks] = [await fileOf(found, options, car), lacksOf(found, options)];
  if (out === undefined) {
    for (const lack of lacks) session.talk(lack);
    return { data: { ...facts, records }, lines: [String(file).slice(0, -1)] };
  }
  writeNew(session.io, out, file);
  const done = `wrote ${out}: run ${facts.run}, ${records.length} records`;
  return {
    data: { ...facts, board: found.facts.board, file: out, records: records.length, lacks },
    lines: [done, ...lacks].flatMap((line) => session.wrapped(line)),
  };
}

export const addPull: AddCommand = (program, act) => {
  withTransferBaud(withPort(program.command("pull")))
    .argument("<run>", "number of the run, as `headgate runs` lists it, or last", runNumber)
    .option(
      "--out <file>",
      `write a new file: ${RUN_FILE} keeps everything, any other name is comma-separated values`,
    )
    .option("--note <text>", "keep a note in the run file: time slip, weather, tyres")
    .option("--car <file>", "keep the car file in the run file")
    .description("read a stored run into a run file, or as comma-separated values")
    .action(act(pull));
};
