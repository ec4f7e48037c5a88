// `headgate ports`: which serial ports there are, which one would be used and why; with --ask, which answer as a controller.
import { Failure } from "#host/errors/failure.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortCheck } from "./port-access.ts";

interface Options {
  readonly ask?: true | undefined;
  readonly remember?: string | undefined;
  readonly forget?: string | undefined;
  readonly port?: string | undefined;
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
    const { path, why } = await choiceWithoutFlag(session, ports);
    return { path, why };
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

/** Asks which board is at the port, and remembers it under a name. Fails as a connection does, or with `usage` or `no-board-number`. */
async function rememberAs(session: Session, name: string, port: string | undefined): Promise<Result> {
  const { withController } = await import("./connect.ts");
  const { remember, requireName } = await import("./aliases.ts");
  const { BAUD_DEFAULT } = await import("#shared-schema/link/messages.ts");
  const { NO_BOARD_ID } = await import("#host/link/board-number.ts");
  requireName(name);
  const found = await withController(session, { port, baud: BAUD_DEFAULT }, async (connection) => connection);
  const { boardId } = found.device;
  if (boardId === NO_BOARD_ID) throw new Failure("no-board-number");
  const adapter = (await session.io.listPorts()).find(({ path }) => path === found.port)?.serialNumber;
  remember(session, {
    name,
    board: boardId,
    path: found.port,
    ...(adapter === undefined ? {} : { adapter }),
  });
  const use = `remembered: "${name}" is board ${boardId} at ${found.port}; name it with --port ${name}, or let it be chosen by itself`;
  return { data: { name, board: boardId, port: found.port }, lines: session.wrapped(use) };
}

async function forgetName(session: Session, name: string): Promise<Result> {
  const { forget } = await import("./aliases.ts");
  forget(session, name);
  return { data: { forgotten: name }, lines: [`"${name}" is no longer remembered`] };
}

async function ports(session: Session, options: Options): Promise<Result> {
  if (options.remember !== undefined) return rememberAs(session, options.remember, options.port);
  if (options.forget !== undefined) return forgetName(session, options.forget);
  const { aliases, portOf } = await import("./aliases.ts");
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
  const found = looks.map(({ port }) => port);
  const names = aliases(session).map((alias) => ({ ...alias, there: portOf(alias, found)?.path ?? null }));
  const nameLines = names.map(
    ({ name, board, there }) => `remembered: ${name} is board ${board}, ${there ?? "not plugged in"}`,
  );
  return {
    data: {
      ports: looks.map(({ port, access }) => ({ ...port, access })),
      names,
      chosen,
      ...(answers === undefined ? {} : { answers }),
    },
    lines: [
      ...portRows(looks, session.width),
      "",
      ...session.wrapped(...nameLines, use, ...(answers ?? []).map(({ path, text }) => `${path}: ${text}`)),
    ],
  };
}

export const addPorts: AddCommand = (program, act) => {
  withCommon(program.command("ports"))
    .option(
      "--ask",
      "open every USB adapter and ask whether a controller answers; other devices may react to that",
    )
    .option("--remember <name>", "give the controller at the port a name that stands for it from now on")
    .option("--forget <name>", "forget a name")
    .option(
      "--port <name>",
      "with --remember: the port of the controller (default: the one that would be used)",
    )
    .description("list the serial ports and say which would be used; name controllers")
    .action(act(ports));
};
