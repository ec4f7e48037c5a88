// `headgate watch`: what the controller does, live and in words; redrawn in place on a terminal, a line each in a pipe.

import type { Values } from "#host/link/payload.ts";
import { heightOf, widthOf } from "#host/report/terminal/terminal.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { AddCommand } from "../command.ts";
import { wholeNumber, withPort } from "../options.ts";
import type { Session } from "../session.ts";
import type { Connection, PortOptions } from "./connect.ts";

interface WatchOptions extends PortOptions {
  readonly rate: number;
  readonly seconds?: number | undefined;
}

const RATE = 5;
const FASTEST = 50;
/** Cursor home, then clear the screen (ECMA-48 CUP and ED). */
const AFRESH = "\u001b[H\u001b[2J";
/** Cursor up so many lines, then clear to the end of the screen (ECMA-48 CUU and ED). */
const back = (lines: number): string => (lines === 0 ? "" : `\u001b[${lines}A\u001b[J`);

/** Waits, or less long when the user interrupts. */
function pause(session: Session, ms: number): Promise<void> {
  const { clock, signal } = session.io;
  return new Promise((resolve) => {
    const done = (): void => {
      callOff();
      signal.removeEventListener("abort", done);
      resolve();
    };
    const callOff = clock.after(ms, done);
    signal.addEventListener("abort", done, { once: true });
  });
}

type Show = (live: Values, seconds: number) => void;

/** What does not change while it is watched: the settings, and what to call them. */
interface Known {
  readonly settings: Document | undefined;
  readonly inForce: readonly string[];
}

async function knownOf(session: Session, connection: Connection): Promise<Known> {
  const { settingsInForce } = await import("./device-settings.ts");
  const { settingsInWords } = await import("#host/report/terminal/status.ts");
  const { hex8 } = await import("#host/settings/hash.ts");
  const { namesByHash } = await import("../load/names.ts");
  const { device } = connection;
  const name = namesByHash(session).get(hex8(device.settingsCrc));
  return { settings: await settingsInForce(connection), inForce: settingsInWords(device, name) };
}

/** A screen that is drawn over itself, and afresh when its size has changed. */
async function screenOn(session: Session, { settings, inForce }: Known): Promise<Show> {
  const { momentOf, momentScreen } = await import("#host/report/terminal/watch.ts");
  const { stdout } = session.io;
  let [drawn, size] = [0, ""];
  return (live) => {
    const room = { width: widthOf(stdout) - 1, height: heightOf(stdout) - 1 };
    const same = size === `${room.width}x${room.height}`;
    const lines = momentScreen(momentOf(live), { settings, inForce, room, paint: session.paint });
    stdout.write(`${same || size === "" ? back(drawn) : AFRESH}${lines.join("\n")}\n`);
    [drawn, size] = [lines.length, `${room.width}x${room.height}`];
  };
}

/** How a moment is shown: JSON Lines, a screen, or a line. */
async function shower(session: Session, known: Known): Promise<Show> {
  const { momentOf, watchLine } = await import("#host/report/terminal/watch.ts");
  const out = (text: string): void => void session.io.stdout.write(text);
  if (session.json) return (live, seconds) => out(`${JSON.stringify({ seconds, ...momentOf(live) })}\n`);
  if (session.io.stdout.isTTY === true) return screenOn(session, known);
  return (live, seconds) => out(`${watchLine(momentOf(live), seconds)}\n`);
}

async function watch(session: Session, options: WatchOptions): Promise<void> {
  session.streams = true;
  const { withController } = await import("./connect.ts");
  const { requireFit, status } = await import("#host/link/device.ts");
  const { clock, signal } = session.io;
  await withController(session, options, async (connection) => {
    requireFit(connection.device);
    if (session.io.stdout.isTTY === true) session.io.echoOff?.();
    const show = await shower(session, await knownOf(session, connection));
    const start = clock.nowMs();
    const seconds = (): number => (clock.nowMs() - start) / 1000;
    for (let n = 1; !signal.aborted && seconds() < (options.seconds ?? Number.POSITIVE_INFINITY); n++) {
      show(await status(connection.client), Math.round(seconds() * 1000) / 1000);
      await pause(session, Math.max(0, start + (n * 1000) / options.rate - clock.nowMs()));
    }
  }).catch((thrown: unknown) => {
    if (!signal.aborted) throw thrown;
  });
}

export const addWatch: AddCommand = (program, act) => {
  withPort(program.command("watch"))
    .option("--rate <number>", "how often a second", wholeNumber(1, FASTEST), RATE)
    .option("--seconds <number>", "stop after this many seconds", wholeNumber(1, 86_400))
    .description("show live what the controller does and why nothing flows; --json: one document a line")
    .action(act(watch));
};
