// From a port name, or none, to a controller that has said hello; always closed again, whatever happens in between.
import { Failure } from "#host/errors/failure.ts";
import { LinkClient } from "#host/link/client.ts";
import { type Hello, hello } from "#host/link/device.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { type Choice, choosePort, describePort } from "#host/link/ports.ts";
import type { Session } from "../session.ts";
import { type Alias, aliases, portOf, requireAlias } from "./aliases.ts";
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

/** A port to use, and the name that it goes by, whose board must answer. */
interface Chosen extends Choice {
  readonly alias?: Alias | undefined;
}

/** In which order a port is chosen, for `doctor` to say. */
export const PORT_ORDER = `--port, then ${PORT_VARIABLE}, then a remembered name, then the only adapter`;

/** What somebody named: the practice board, a remembered name, or the port itself. Fails with `no-practice-board` or `port-gone`. */
async function named(session: Session, name: string, why: string): Promise<Chosen> {
  const alias = aliases(session).find((one) => one.name === name);
  if (!alias) return { path: portNamed(session.io, name), why };
  const port = portOf(alias, await session.io.listPorts());
  if (port) return { path: port.path, why: `${why}; it is remembered as "${name}"`, alias };
  throw new Failure("port-gone", {
    what: `"${name}" is not plugged in: its port ${alias.path} is not there`,
  });
}

/** The port to use: the one given, the one that the environment names, a remembered one, or the one found, with the reason. */
async function choose(session: Session, options: PortOptions): Promise<Chosen> {
  if (options.port !== undefined) return named(session, options.port, "it was named");
  return choiceWithoutFlag(session, await session.io.listPorts());
}

/** The same among these ports where no option names one. Fails with `no-port` or `many-ports`, and as a name does. */
export async function choiceWithoutFlag(session: Session, ports: readonly PortInfo[]): Promise<Chosen> {
  const variable = session.io.env[PORT_VARIABLE];
  if (variable) return named(session, variable, `${PORT_VARIABLE} names it`);
  const there = aliases(session).filter((alias) => portOf(alias, ports) !== undefined);
  const [alias] = there;
  if (alias && there.length === 1)
    return { path: portOf(alias, ports)!.path, why: `it is remembered as "${alias.name}"`, alias };
  return choosePort(ports, knownAdapters(session));
}

async function open(session: Session, options: PortOptions): Promise<Connection> {
  const { path, why, serialNumber, alias } = await choose(session, options);
  if (options.port === undefined) {
    for (const port of await session.io.listPorts()) session.talkOnce(`seen: ${describePort(port)}`);
    session.talkOnce(`using ${path}: ${why}`);
  }
  const line = await session.io.openLine(path, options.baud);
  const client = new LinkClient(line, { clock: session.io.clock, signal: session.io.signal });
  try {
    const device = await hello(client);
    if (alias) requireAlias(alias, device);
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
