// A line over TCP, `tcp:HOST:PORT`, which the emulated board offers where there are no pseudo-terminals.
import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { Failure, systemCode } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";
import { within } from "./deadline.ts";
import type { Line } from "./line.ts";

const OPEN_MS = 3000;
const NAME = /^tcp:(.+):(\d{1,5})$/;

/** Is this the name of a TCP line? */
export const isTcp = (name: string): boolean => name.startsWith("tcp:");

function tcpLine(name: string, socket: Socket): Line {
  return {
    name,
    stream: socket,
    baud: undefined,
    setBaud: async () => {},
    close: async () => {
      socket.destroy();
    },
  };
}

/** Opens `tcp:HOST:PORT`. Fails with `usage` for any other form, `port-gone` when nothing listens there, otherwise `port-failed`. */
export async function openTcp(name: string): Promise<Line> {
  const [, host, port] = NAME.exec(name) ?? [];
  if (host === undefined || Number(port) > 65535)
    throw new Failure("usage", { what: `"${name}" is not of the form tcp:HOST:PORT` });
  const socket = connect({ host, port: Number(port), noDelay: true });
  try {
    const opened = await within(once(socket, "connect"), OPEN_MS);
    if (opened) return tcpLine(name, socket);
  } catch (thrown) {
    const gone = ["ECONNREFUSED", "ENOTFOUND", "EAI_AGAIN"].includes(systemCode(thrown));
    throw new Failure(gone ? "port-gone" : "port-failed", {
      what: `${name}: ${systemWords(thrown)}`,
      cause: thrown,
    });
  }
  socket.destroy();
  throw new Failure("port-failed", { what: `${name}: that computer does not answer` });
}
