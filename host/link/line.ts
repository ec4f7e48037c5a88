// An open line to a controller, whatever it runs over: a byte stream with a speed. Its close and errors prove nothing; only answers do.
import type { Duplex } from "node:stream";

export interface Line {
  /** As the user would name it: a path, or `tcp:HOST:PORT`. */
  readonly name: string;
  readonly stream: Duplex;
  /** Bits a second right now; undefined when the line has no speed of its own. */
  readonly baud: number | undefined;
  /** Changes the speed. Does nothing on a line without one. */
  setBaud(baud: number): Promise<void>;
  /** Never hangs: gives up waiting for the driver after a moment. */
  close(): Promise<void>;
}
