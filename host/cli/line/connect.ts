// From a port name, or none, to a controller that has said hello; always closed again, whatever happens in between.
import { Failure } from "#host/errors/failure.ts";
import { LinkClient } from "#host/link/client.ts";
import { type Hello, hello } from "#host/link/device.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { type Choice, choosePort, describePort } from "#host/link/ports.ts";
import type { Session } from "../session.ts";
import { knownAdapters, rememberAdapter } from "./known-adapters.ts";
import { PRACTICE_PORT, portNamed } from "./practice-record.ts";

/** Options of every command that speaks to a controller. */
export interface PortOptions {
  readonly port?: string | undefined;
  readonly baud: number;
  /** How long to wait for a controller that is not there yet, seconds. */
  readonly wait?: number | undefined;
}

/** A controller on an open line. */
export interface Connection {
  readonly port: string;
  readonly client: LinkClient;
  readonly device: Hello;
}

const LOOK_AGAIN_MS = 500;
/** What waiting can mend. */
const ABSENT: readonly string[] = ["no-port", "port-gone", "silent"];

/** Names a port where `--port` does not. */
export const PORT_VARIABLE = "HEADGATE_PORT";

/** Is it the practice board that an option or the environment names? */
export const isPractice = ({ io }: Session, { port }: Pick<PortOptions, "port">): boolean =>
  (port ?? io.env[PORT_VARIABLE]) === PRACTICE_PORT;

/** The port to use: the one given, the one that the environment names, or the one found, with the reason. */
async function choose(session: Session, options: PortOptions): Promise<Choice> {
  if (options.port !== undefined) return { path: portNamed(session.io, options.port), why: "it was named" };
  return choiceWithoutFlag(session, await session.io.listPorts());
}

/** The same among these ports where no option names one. Fails with `no-port` or `many-ports`. */
export function choiceWithoutFlag(session: Session, ports: readonly PortInfo[]): Choice {
  const named = session.io.env[PORT_VARIABLE];
  if (named) return { path: portNamed(session.io, named), why: `${PORT_VARIABLE} names it` };
  return choosePort(ports, knownAdapters(session));
}

async function open(session: Session, options: PortOptions): Promise<Connection> {
  const { path, why, serialNumber } = await choose(session, options);
  if (options.port === undefined) {
    for (const port of await session.io.listPorts()) session.talk(`seen: ${describePort(port)}`);
    session.talk(`using ${path}: ${why}`);
  }
  const line = await session.io.openLine(path, options.baud);
  const client = new LinkClient(line, { clock: session.io.clock, signal: session.io.signal });
  try {
    const device = await hello(client);
    if (serialNumber !== undefined) rememberAdapter(session, serialNumber);
    return { port: path, client, device };
  } catch (thrown) {
    await client.close();
    throw thrown;
  }
}

/** Opens, and waits as long as allowed for what is not there yet. */
async function openOrWait(session: Session, options: PortOptions): Promise<Connection> {
  const { clock, signal } = session.io;
  const untilMs = clock.nowMs() + 1000 * (options.wait ?? 0);
  for (let first = true; ; first = false) {
    try {
      return await open(session, options);
    } catch (thrown) {
      const absent = thrown instanceof Failure && ABSENT.includes(thrown.code);
      if (!absent || signal.aborted || clock.nowMs() >= untilMs) throw thrown;
    }
    if (first) session.talk(`waiting for a controller, ${options.wait} s at most; Ctrl-C ends it`);
    await new Promise<void>((resolve) => void clock.after(LOOK_AGAIN_MS, resolve));
    if (signal.aborted) throw new Failure("interrupted");
  }
}

/** Opens, says hello, runs the work, closes. Whether host and controller fit is for the work to ask. */
export async function withController<T>(
  session: Session,
  options: PortOptions,
  work: (connection: Connection) => Promise<T>,
): Promise<T> {
  const connection = await openOrWait(session, options);
  try {
    return await work(connection);
  } finally {
    await connection.client.close();
  }
}
