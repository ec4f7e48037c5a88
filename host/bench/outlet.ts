// Where another program reaches a board's serial line: a pseudo-terminal held by socat, or a TCP port of this computer.
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { closeSync, constants, openSync } from "node:fs";
import { createServer, type Server, type Socket } from "node:net";
import type { Readable, Writable } from "node:stream";
import type { EmulatedBoard } from "./board/emulated-board.ts";

/** An open one. `port` is what to give another program: a path, or `tcp:127.0.0.1:PORT`. */
export interface Outlet {
  readonly port: string;
  close(): Promise<void>;
}

const LOOPBACK = "127.0.0.1";

/** True when socat can be started: then a pseudo-terminal is possible. */
export function hasSocat(): boolean {
  return spawnSync("socat", ["-V"]).status === 0;
}

/** Joins the board's line to a stream pair; bytes that nobody reads are dropped when the reader is slow. */
function joinLine(board: EmulatedBoard, input: Readable, output: Writable): void {
  input.on("data", (chunk: Uint8Array) => board.serial.send(chunk));
  board.serial.onByte = (byte) => {
    if (!output.destroyed) output.write(Uint8Array.of(byte));
  };
}

/** Listens on a TCP port, 0 for any free one. Rejects when it cannot be had. */
export async function openTcp(board: EmulatedBoard, port: number): Promise<Outlet> {
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

/**
 * Makes a pseudo-terminal at `path`. Its other side is held open here too: it ends when its last user leaves. `lost` is told
 * when socat ends by itself.
 */
export async function openPty(
  board: EmulatedBoard,
  path: string,
  lost: (error: Error) => void,
): Promise<Outlet> {
  const args = ["-d", "-d", `PTY,link=${path},rawer`, "STDIO"];
  const socat = spawn("socat", args, { stdio: ["pipe", "pipe", "pipe"] });
  await ptyReady(socat);
  const held = openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  joinLine(board, socat.stdout!, socat.stdin!);
  socat.stdin!.on("error", () => {});
  let closing = false;
  socat.once("exit", () => {
    if (!closing) lost(new Error("socat, which held the pseudo-terminal, has ended"));
  });
  const close = async (): Promise<void> => {
    closing = true;
    closeSync(held);
    const ended = new Promise<void>((resolve) => socat.once("exit", () => resolve()));
    if (socat.exitCode !== null) return;
    socat.kill();
    await ended;
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
