// `headgate diff A [B]`: what differs between two settings files, or between a file and what a controller holds.
import { EXIT } from "#host/errors/exit.ts";
import { heightOf } from "#host/report/terminal/terminal.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options extends PortOptions {
  readonly all?: true | undefined;
}

/** Lines that the shell needs for the command and for its next prompt. */
const SHELL_LINES = 2;

/** Stands for the controller in place of a file name. */
const DEVICE = "device";

async function documentOf(session: Session, name: string, options: PortOptions): Promise<Document> {
  if (name !== DEVICE) return (await import("./settings-file.ts")).goodFile(session, name).document;
  const { withController } = await import("../line/connect.ts");
  const { readDocument } = await import("../line/device-settings.ts");
  return (await withController(session, options, (connection) => readDocument(session, connection))).document;
}

async function diff(session: Session, a: string, b: string, options: Options): Promise<Result> {
  const { diffDocuments } = await import("#host/settings/diff.ts");
  const { diffLines } = await import("#host/report/terminal/diff.ts");
  const before = await documentOf(session, a, options);
  const changes = diffDocuments(before, await documentOf(session, b, options));
  const { paint, width } = session;
  const height = options.all ? Number.POSITIVE_INFINITY : heightOf(session.io.stdout) - SHELL_LINES;
  return {
    exit: changes.length === 0 ? EXIT.yes : EXIT.no,
    data: { old: a, new: b, same: changes.length === 0, changes },
    lines: diffLines(changes, { allNew: false, room: { width, height }, paint }),
  };
}

export const addDiff: AddCommand = (program, act) => {
  withPort(program.command("diff"))
    .argument("<old>", "settings file, or `device`")
    .argument("[new]", "settings file, or `device`", DEVICE)
    .option("--all", "each difference in full, also where the screen has no room for them")
    .description("show what differs between two settings files, or a file and the controller")
    .action(act(diff));
};
