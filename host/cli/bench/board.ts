// `headgate board`: the emulated board with the released image, offered as a serial line until interrupted.

import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Session } from "../session.ts";

interface Options {
  readonly tcp?: number | true | undefined;
  readonly seconds?: number | undefined;
}

/** Settles after so many seconds, or when the user interrupts. */
function until(session: Session, seconds: number | undefined): Promise<void> {
  const { io } = session;
  return new Promise((resolve) => {
    const callOff = seconds === undefined ? () => {} : io.clock.after(seconds * 1000, resolve);
    const stop = (): void => {
      callOff();
      resolve();
    };
    if (io.signal.aborted) stop();
    else io.signal.addEventListener("abort", stop, { once: true });
  });
}

async function board(session: Session, options: Options): Promise<void> {
  const { startServedBoard } = await import("./served-board.ts");
  const served = await startServedBoard(options.tcp);
  session.talk(`the emulated board listens on the port below; try, in another window:`);
  session.talk(`  headgate status --port ${served.port}`);
  session.talk("stop it with Ctrl-C");
  session.finish({ data: { port: served.port, kind: served.kind }, lines: [served.port] });
  try {
    await Promise.race([until(session, options.seconds), served.ended]);
  } finally {
    await served.close();
  }
}

export const addBoard: AddCommand = (program, act) => {
  withCommon(program.command("board"))
    .option(
      "--tcp [port]",
      "offer it over TCP on this computer instead of a pseudo-terminal",
      wholeNumber(0, 65535),
    )
    .option("--seconds <number>", "stop after this many seconds", wholeNumber(1, 86_400))
    .description("run the emulated board and offer its serial line")
    .action(act(board));
};
