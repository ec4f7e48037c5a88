// From a port name, or none, to a controller that has said hello; always closed again, whatever happens in between.

import { LinkClient } from "#host/link/client.ts";
import { type Hello, hello } from "#host/link/device.ts";
import { choosePort, describePort } from "#host/link/ports.ts";
import type { Session } from "./session.ts";

/** Options of every command that speaks to a controller. */
export interface PortOptions {
  readonly port?: string | undefined;
  readonly baud: number;
}

/** A controller on an open line. */
export interface Connection {
  readonly port: string;
  readonly client: LinkClient;
  readonly device: Hello;
}

/** Name of the port to use: the one given, or the one found, said on stderr with the reason. */
async function portName(session: Session, options: PortOptions): Promise<string> {
  if (options.port !== undefined) return options.port;
  const seen = await session.io.listPorts();
  for (const port of seen) session.talk(`seen: ${describePort(port)}`);
  const { path, why } = choosePort(seen);
  session.talk(`using ${path}: ${why}`);
  return path;
}

/** Opens, says hello, runs the work, closes. Whether host and controller fit is for the work to ask. */
export async function withController<T>(
  session: Session,
  options: PortOptions,
  work: (connection: Connection) => Promise<T>,
): Promise<T> {
  const port = await portName(session, options);
  const line = await session.io.openLine(port, options.baud);
  const client = new LinkClient(line, { clock: session.io.clock, signal: session.io.signal });
  try {
    return await work({ port, client, device: await hello(client) });
  } finally {
    await client.close();
  }
}
