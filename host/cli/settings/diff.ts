// `headgate diff FILE [OTHER]`: what differs between what a controller holds and a file, as a load would say it, or between two files.
import { EXIT } from "#host/errors/exit.ts";
import type { Sides } from "#host/report/terminal/diff.ts";
import { heightOf } from "#host/report/terminal/terminal.ts";
import { printable } from "#host/report/terminal/wrap.ts";
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

/** What is compared, the same way round as in a load: one name alone stands for the file, and the controller is what was before. */
const pairOf = (file: string, other: string | undefined): readonly [string, string] =>
  other === undefined ? [DEVICE, file] : [file, other];

/** What the sides are called on the screen, and the line that explains names which do not say it themselves. */
function sidesOf(before: string, after: string): { sides: Sides; head: string[] } {
  const named = (name: string): string => (name === DEVICE ? "controller" : "file");
  const sides = { before: named(before), after: named(after) };
  if (sides.before !== sides.after) return { sides, head: [] };
  return { sides: { before: "first", after: "second" }, head: [`first: ${before}; second: ${after}`] };
}

async function diff(
  session: Session,
  file: string,
  other: string | undefined,
  options: Options,
): Promise<Result> {
  const { diffDocuments } = await import("#host/settings/diff.ts");
  const { diffLines, inFullCommand } = await import("#host/report/terminal/diff.ts");
  const [before, after] = pairOf(file, other);
  const held = await documentOf(session, before, options);
  const changes = diffDocuments(held, await documentOf(session, after, options));
  const { paint, width } = session;
  const { sides, head } = sidesOf(before, after);
  const said = session.wrapped(...head.map(printable));
  const least = heightOf(session.io.stdout) - SHELL_LINES - session.talked - said.length;
  const height = options.all ? Number.POSITIVE_INFINITY : least;
  const inFull = inFullCommand(file, ...(other === undefined ? [] : [other]));
  return {
    exit: changes.length === 0 ? EXIT.yes : EXIT.no,
    data: { old: before, new: after, same: changes.length === 0, changes },
    lines: [...said, ...diffLines(changes, { allNew: false, sides, inFull, room: { width, height }, paint })],
  };
}

export const addDiff: AddCommand = (program, act) => {
  withPort(program.command("diff"))
    .argument("<file>", "settings file, or `device` for the controller")
    .argument("[other]", "what it is compared with; without it, the controller's settings with the file's")
    .option("--all", "each difference in full, also where the screen has no room for them")
    .description("show what a load of a settings file would change, or what differs between two files")
    .action(act(diff));
};
