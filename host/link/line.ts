// An open line to a controller: a byte stream with a speed, whatever it runs over. Only answers prove anything; a close or an error does not.
import type { Duplex } from "node:stream";

export interface Line {
  /** As the user would name it: a path, or `tcp:HOST:PORT`. */
  readonly name: string;
  readonly stream: Duplex;
  /** Current speed in bits a second; undefined when the line has no speed of its own. */
  readonly baud: number | undefined;
  /** Changes the speed. Has no effect on a line without one. */
  setBaud(baud: number): Promise<void>;
  /** Closes the line. Never hangs: it stops waiting for the driver after a short time. */
  close(): Promise<void>;
}
