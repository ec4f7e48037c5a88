// The emulated board's serial line inside this process, as a byte stream with a speed; virtual time runs while a client waits.
import { Duplex } from "node:stream";
import type { EmulatedBoard } from "./board/emulated-board.ts";
import { Pump } from "./board/pump.ts";

/** A byte stream to the board; `clock` is the board's own time, for the client's deadlines. */
export interface BoardLine {
  readonly name: string;
  readonly stream: Duplex;
  readonly baud: number;
  readonly clock: Pump;
  setBaud(baud: number): Promise<void>;
  close(): Promise<void>;
}

class BoardStream extends Duplex {
  private readonly board: EmulatedBoard;

  constructor(board: EmulatedBoard) {
    super();
    this.board = board;
    board.serial.onByte = (byte) => void this.push(Uint8Array.of(byte));
  }

  override _read(): void {}

  override _write(chunk: Uint8Array, _encoding: string, done: (error?: Error) => void): void {
    this.board.serial.send(chunk);
    done();
  }

  override _destroy(error: Error | null, done: (error: Error | null) => void): void {
    this.board.serial.onByte = () => {};
    done(error);
  }
}

/** Opens the line of a powered board. Only one can be open at a time. */
export function boardLine(board: EmulatedBoard): BoardLine {
  const stream = new BoardStream(board);
  const clock = new Pump(board);
  clock.onFailure((failure) =>
    stream.destroy(failure instanceof Error ? failure : new Error(String(failure))),
  );
  return {
    name: "emulated board",
    stream,
    clock,
    get baud() {
      return board.serial.baud;
    },
    setBaud: async (baud) => {
      board.serial.baud = baud;
    },
    close: async () => void stream.destroy(),
  };
}
