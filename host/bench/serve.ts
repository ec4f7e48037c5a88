// Offers an emulated board to other programs in real time: as a pseudo-terminal where socat is installed, else over TCP on this computer.
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { closeSync, constants, mkdtempSync, openSync, rmSync } from "node:fs";
import { createServer, type Server, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Readable, Writable } from "node:stream";
import type { EmulatedBoard } from "./board/emulated-board.ts";
import { RealTimePace } from "./board/real-time.ts";

/** A board that is being served. */
export interface ServedBoard {
  /** What to give another program: the path of a pseudo-terminal, or `tcp:127.0.0.1:PORT`. */
  readonly port: string;
  readonly kind: "pty" | "tcp";
  /** Settles when the board fails or is closed; rejects with what made it fail. */
  readonly ended: Promise<void>;
  close(): Promise<void>;
}

/** How to serve. `port`: TCP port, 0 for any free one. */
export interface ServeOptions {
  readonly kind?: "pty" | "tcp";
  readonly port?: number;
}

const LOOPBACK = "127.0.0.1";

/** True when socat can be started: then a pseudo-terminal is possible. */
export function hasSocat(): boolean {
  return spawnSync("socat", ["-V"]).status === 0;
}

/** Serves a board that has power, until closed. Rejects when the pseudo-terminal or the TCP port cannot be had. */
export async function serveBoard(board: EmulatedBoard, options: ServeOptions = {}): Promise<ServedBoard> {
  const kind = options.kind ?? (hasSocat() ? "pty" : "tcp");
  const pace = new RealTimePace(board);
  const lost = (error: Error): void => pace.fail(error);
  const outlet = kind === "pty" ? await openPty(board, lost) : await openTcp(board, options.port ?? 0);
  const ended = pace.start();
  const close = async (): Promise<void> => {
    pace.stop();
    await outlet.close();
  };
  return { port: outlet.port, kind, ended, close };
}

interface Outlet {
  readonly port: string;
  close(): Promise<void>;
}

/** Joins the board's line to a stream pair; bytes that nobody reads are dropped when the reader is slow. */
function joinLine(board: EmulatedBoard, input: Readable, output: Writable): void {
  input.on("data", (chunk: Uint8Array) => board.serial.send(chunk));
  board.serial.onByte = (byte) => {
    if (!output.destroyed) output.write(Uint8Array.of(byte));
  };
}

async function openTcp(board: EmulatedBoard, port: number): Promise<Outlet> {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => accept(board, sockets, socket));
  await listen(server, port);
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("no TCP port");
  const close = (): Promise<void> => {
    for (const socket of sockets) socket.destroy();
    return new Promise((resolve) => server.close(() => resolve()));
  };
  return { port: `tcp:${LOOPBACK}:${address.port}`, close };
}

/** One program at a time: a serial line has one other end. */
function accept(board: EmulatedBoard, sockets: Set<Socket>, socket: Socket): void {
  if (sockets.size > 0) {
    socket.destroy();
    return;
  }
  sockets.add(socket);
  socket.setNoDelay(true);
  socket.on("error", () => socket.destroy());
  socket.on("close", () => sockets.delete(socket));
  joinLine(board, socket, socket);
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen(port, LOOPBACK, () => resolve());
  });
}

/** The other side is held open here too: a pseudo-terminal ends when its last user leaves. */
async function openPty(board: EmulatedBoard, lost: (error: Error) => void): Promise<Outlet> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-"));
  const path = join(folder, "board");
  const args = ["-d", "-d", `PTY,link=${path},rawer`, "STDIO"];
  const socat = spawn("socat", args, { stdio: ["pipe", "pipe", "pipe"] });
  const remove = (): void => rmSync(folder, { recursive: true, force: true });
  try {
    await ptyReady(socat);
  } catch (error) {
    remove();
    throw error;
  }
  const held = openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  joinLine(board, socat.stdout!, socat.stdin!);
  socat.stdin!.on("error", () => {});
  socat.once("exit", () => lost(new Error("socat, which held the pseudo-terminal, has ended")));
  const close = async (): Promise<void> => {
    closeSync(held);
    const ended = new Promise<void>((resolve) => socat.once("exit", () => resolve()));
    if (socat.exitCode === null) {
      socat.kill();
      await ended;
    }
    remove();
  };
  return { port: path, close };
}

/** Resolves when socat says that the pseudo-terminal is there. */
function ptyReady(socat: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = "";
    socat.stderr!.on("data", (chunk: Uint8Array) => {
      said += new TextDecoder().decode(chunk);
      if (said.includes("starting data transfer loop")) resolve();
    });
    socat.once("error", reject);
    socat.once("exit", (code) => reject(new Error(`socat ended with ${code}: ${said}`)));
  });
}
