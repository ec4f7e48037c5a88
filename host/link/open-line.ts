// Opens a line by the name that a user gives it: a serial port, a pseudo-terminal, or `tcp:HOST:PORT`.
import { BAUD_DEFAULT } from "#shared-schema/link/messages.ts";
import type { Line } from "./line.ts";
import { isTcp, openTcp } from "./tcp-line.ts";

/** Opens a line at a speed in bits a second. Fails with one of the `port-` errors. */
export async function openLine(name: string, baud: number = BAUD_DEFAULT): Promise<Line> {
  if (isTcp(name)) return openTcp(name);
  const { openSerial } = await import("./serial-line.ts");
  return openSerial(name, baud);
}
