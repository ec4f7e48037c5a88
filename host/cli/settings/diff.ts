// `headgate diff A [B]`: what differs between two settings files, or between a file and what a controller holds.
import { EXIT } from "#host/errors/exit.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { AddCommand } from "../command.ts";
import type { PortOptions } from "../line/connect.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";

/** Stands for the controller in place of a file name. */
const DEVICE = "device";

async function documentOf(session: Session, name: string, options: PortOptions): Promise<Document> {
  if (name !== DEVICE) return (await import("./settings-file.ts")).goodFile(session, name).document;
  const { withController } = await import("../line/connect.ts");
  const { readDocument } = await import("../line/device-settings.ts");
  return (await withController(session, options, (connection) => readDocument(session, connection))).document;
}

async function diff(session: Session, a: string, b: string, options: PortOptions): Promise<Result> {
  const { diffDocuments } = await import("#host/settings/diff.ts");
  const { diffLines } = await import("#host/report/terminal/diff.ts");
  const before = await documentOf(session, a, options);
  const changes = diffDocuments(before, await documentOf(session, b, options));
  return {
    exit: changes.length === 0 ? EXIT.yes : EXIT.no,
    data: { old: a, new: b, same: changes.length === 0, changes },
    lines: diffLines(changes, false, session.width, session.paint),
  };
}

export const addDiff: AddCommand = (program, act) => {
  withPort(program.command("diff"))
    .argument("<old>", "settings file, or `device`")
    .argument("[new]", "settings file, or `device`", DEVICE)
    .description("show what differs between two settings files, or a file and the controller")
    .action(act(diff));
};
