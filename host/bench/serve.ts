// Offers an emulated board to other programs in real time, with a cable that can be pulled and plugged in again at the same place.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { EmulatedBoard } from "./board/emulated-board.ts";
import { type Paced, RealTimePace } from "./board/real-time.ts";
import { hasSocat, type Outlet, openPty, openTcp } from "./outlet.ts";

export { hasSocat };

/** A board that is being served. */
export interface ServedBoard {
  /** What to give another program: the path of a pseudo-terminal, or `tcp:127.0.0.1:PORT`. */
  readonly port: string;
  readonly kind: "pty" | "tcp";
  /** Settles when the board fails or is closed; rejects with what made it fail. */
  readonly ended: Promise<void>;
  /** Is the cable in? */
  readonly plugged: boolean;
  /** Takes the port away; whoever has it open loses the line. */
  pull(): Promise<void>;
  /** Gives it back under the same name. */
  plug(): Promise<void>;
  close(): Promise<void>;
}

/** How to serve. `port`: TCP port, 0 for any free one. `paced`: what lets the board's time pass, if not the board alone. */
export interface ServeOptions {
  readonly kind?: "pty" | "tcp";
  readonly port?: number;
  readonly paced?: Paced;
}

class Served implements ServedBoard {
  readonly kind: "pty" | "tcp";
  readonly ended: Promise<void>;
  port = "";
  private readonly board: EmulatedBoard;
  private readonly pace: RealTimePace;
  private readonly folder: string | undefined;
  private outlet: Outlet | undefined;

  constructor(board: EmulatedBoard, kind: "pty" | "tcp", paced: Paced) {
    this.board = board;
    this.kind = kind;
    this.pace = new RealTimePace(paced);
    this.ended = this.pace.ended;
    this.folder = kind === "pty" ? mkdtempSync(join(tmpdir(), "headgate-")) : undefined;
  }

  get plugged(): boolean {
    return this.outlet !== undefined;
  }

  /** Opens the port for the first time and lets time pass. */
  async start(tcpPort: number): Promise<void> {
    try {
      await this.open(tcpPort);
    } catch (thrown) {
      this.remove();
      throw thrown;
    }
    this.pace.start();
  }

  private async open(tcpPort: number): Promise<void> {
    const lost = (error: Error): void => this.pace.fail(error);
    this.outlet = this.folder
      ? await openPty(this.board, join(this.folder, "board"), lost)
      : await openTcp(this.board, tcpPort);
    this.port = this.outlet.port;
  }

  async plug(): Promise<void> {
    if (!this.plugged) await this.open(Number(this.port.split(":")[2]));
  }

  async pull(): Promise<void> {
    const { outlet } = this;
    this.outlet = undefined;
    this.board.serial.onByte = () => {};
    this.board.serial.dropUnsent();
    await outlet?.close();
  }

  private remove(): void {
    if (this.folder) rmSync(this.folder, { recursive: true, force: true });
  }

  async close(): Promise<void> {
    this.pace.stop();
    await this.pull();
    this.remove();
  }
}

/** Serves a board until closed. Rejects when the pseudo-terminal or the TCP port cannot be had. */
export async function serveBoard(board: EmulatedBoard, options: ServeOptions = {}): Promise<ServedBoard> {
  const kind = options.kind ?? (hasSocat() ? "pty" : "tcp");
  const served = new Served(board, kind, options.paced ?? board);
  await served.start(options.port ?? 0);
  return served;
}
