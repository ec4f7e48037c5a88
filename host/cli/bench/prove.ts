// `headgate prove`: every interlock at the pins of the emulated board, each with its faults, measured against its longest time.

import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { ProveOptions } from "./run-proof.ts";

async function prove(session: Session, options: ProveOptions): Promise<Result> {
  const { proveFile } = await import("./run-proof.ts");
  return proveFile(session, options);
}

export const addProve: AddCommand = (program, act) => {
  withCommon(program.command("prove"))
    .option("--only <ids...>", "prove only these interlocks, by id")
    .option("--settings <file>", "settings to prove with (default: those of the proving bench)")
    .option("--junit <file>", "write the result as JUnit XML, over an earlier one")
    .option("--html <file>", "write a page to print, sign and keep; never over another file")
    .option(
      "--workers <count>",
      "prove on so many processors at a time; on all when left out",
      wholeNumber(1, 64),
    )
    .description("prove every interlock at the pins of the emulated board, and measure its time")
    .action(act(prove));
};
