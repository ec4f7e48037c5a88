// A board offered to other programs: bytes go there and back over TCP, and over a pseudo-terminal where socat is.

import { once } from "node:events";
import { existsSync } from "node:fs";
import { connect, type Socket } from "node:net";
import { SerialPort } from "serialport";
import { describe, expect, test } from "vitest";
import { hasSocat, type ServedBoard, serveBoard } from "#host/bench/serve.ts";
import { echoBoard } from "./board/support/echo.ts";

const SENT = [1, 2, 3, 250, 251, 0, 13, 10, 17, 19, 3, 4];

async function dial(served: ServedBoard): Promise<Socket> {
  const [, host, port] = served.port.split(":");
  const socket = connect(Number(port), host);
  await once(socket, "connect");
  return socket;
}

async function echoOver(stream: Socket | SerialPort): Promise<number[]> {
  const bytes: number[] = [];
  stream.write(Uint8Array.from(SENT));
  while (bytes.length < SENT.length) bytes.push(...((await once(stream, "data")) as [Uint8Array])[0]);
  return bytes;
}

describe("TCP", () => {
  test("every byte comes back, one program at a time, and again after the first has left", async () => {
    const served = await serveBoard(echoBoard(), { kind: "tcp" });
    const first = await dial(served);
    expect(await echoOver(first)).toEqual(SENT);
    const second = await dial(served);
    await once(second, "close");
    first.destroy();
    await once(first, "close");
    let third = await dial(served);
    while (third.destroyed) third = await dial(served);
    third.destroy();
    await served.close();
    await expect(served.ended).resolves.toBeUndefined();
  });

  test("a port that is taken is an error", async () => {
    const served = await serveBoard(echoBoard(), { kind: "tcp" });
    const port = Number(served.port.split(":")[2]);
    await expect(serveBoard(echoBoard(), { kind: "tcp", port })).rejects.toMatchObject({
      code: "EADDRINUSE",
    });
    await served.close();
  });

  test("a board that fails ends the service with its error", async () => {
    const board = echoBoard();
    board.at(board.nowNs + 1e6, () => {
      throw new Error("the wheels came off");
    });
    const served = await serveBoard(board, { kind: "tcp" });
    await expect(served.ended).rejects.toThrow("wheels");
    await served.close();
  });
});

describe("pseudo-terminal", () => {
  test("every byte comes back where socat is; elsewhere asking for one is an error", async () => {
    if (!hasSocat()) {
      await expect(serveBoard(echoBoard(), { kind: "pty" })).rejects.toThrow();
      return;
    }
    const served = await serveBoard(echoBoard());
    expect(served.kind).toBe("pty");
    for (let visit = 0; visit < 2; visit++) {
      const port = new SerialPort({ path: served.port, baudRate: 115_200 });
      await once(port, "open");
      expect(await echoOver(port)).toEqual(SENT);
      await new Promise<void>((resolve) => port.close(() => resolve()));
    }
    await served.close();
    expect(existsSync(served.port)).toBe(false);
  });
});
