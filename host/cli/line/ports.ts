// `headgate ports`: which serial ports there are, which one would be used and why; with --ask, which answer as a controller.
import { Failure } from "#host/errors/failure.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortCheck } from "./port-access.ts";

interface Options {
  readonly ask?: true | undefined;
}

/** What one port answered. */
interface Answer {
  readonly path: string;
  readonly board: string | null;
  readonly text: string;
}

/** The choice in words, or why there is none. */
async function choice(
  session: Session,
  ports: readonly PortInfo[],
): Promise<{ path: string | null; why: string }> {
  const { choiceWithoutFlag } = await import("./connect.ts");
  try {
    return choiceWithoutFlag(session, ports);
  } catch (thrown) {
    if (thrown instanceof Failure)
      return { path: null, why: thrown.message.split("\n", 1)[0]!.replace(/:$/, "") };
    throw thrown;
  }
}

/** Says hello on one port; a failure is the answer, not the end. */
async function ask(session: Session, path: string): Promise<Answer> {
  const { withController } = await import("./connect.ts");
  const { boardWords } = await import("#host/link/board-number.ts");
  const { BAUD_DEFAULT } = await import("#shared-schema/link/messages.ts");
  try {
    const options = { port: path, baud: BAUD_DEFAULT };
    const { boardId, imageVersion } = await withController(session, options, async ({ device }) => device);
    return { path, board: boardId, text: `a controller: ${boardWords(boardId)}, image ${imageVersion}` };
  } catch (thrown) {
    if (thrown instanceof Failure && thrown.code !== "interrupted")
      return { path, board: null, text: thrown.message };
    throw thrown;
  }
}

async function askAll(session: Session, looks: readonly PortCheck[]): Promise<Answer[]> {
  const answers: Answer[] = [];
  for (const { port } of looks.filter((look) => look.port.vendorId !== undefined))
    answers.push(await ask(session, port.path));
  return answers;
}

async function ports(session: Session, options: Options): Promise<Result> {
  const { checkPorts, portRows } = await import("./port-access.ts");
  const looks = await checkPorts(session);
  const chosen = await choice(
    session,
    looks.map(({ port }) => port),
  );
  const answers = options.ask ? await askAll(session, looks) : undefined;
  const use =
    chosen.path === null
      ? `no port is chosen automatically: ${chosen.why}`
      : `would use ${chosen.path}: ${chosen.why}`;
  return {
    data: {
      ports: looks.map(({ port, access }) => ({ ...port, access })),
      chosen,
      ...(answers === undefined ? {} : { answers }),
    },
    lines: [
      ...portRows(looks, session.width),
      "",
      ...session.wrapped(use, ...(answers ?? []).map(({ path, text }) => `${path}: ${text}`)),
    ],
  };
}

export const addPorts: AddCommand = (program, act) => {
  withCommon(program.command("ports"))
    .option(
      "--ask",
      "open every USB adapter and ask whether a controller answers; other devices may react to that",
    )
    .description("list the serial ports and say which would be used")
    .action(act(ports));
};
