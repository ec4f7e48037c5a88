// The in-process port under the real serialport package: bytes there and back in virtual time, and every way it can end.

import { once } from "node:events";
import { SerialPort } from "serialport";
import { describe, expect, test } from "vitest";
import { Pump } from "#host/bench/board/pump.ts";
import { type BoardBindingOptions, boardBinding } from "#host/bench/board/serial-binding.ts";
import { echoBoard } from "./support/echo.ts";

type Options = ConstructorParameters<typeof SerialPort>[0];
const PATH = "emulated";

function rig(options: BoardBindingOptions = {}) {
  const board = echoBoard();
  const pump = new Pump(board);
  const binding = boardBinding(pump, options);
  const open = async (baudRate = 115_200): Promise<SerialPort> => {
    const port = new SerialPort({ path: PATH, baudRate, binding, autoOpen: false } as unknown as Options);
    await new Promise<void>((resolve, reject) => port.open((error) => (error ? reject(error) : resolve())));
    return port;
  };
  return { board, pump, binding, open };
}

async function readBytes(port: SerialPort, count: number): Promise<number[]> {
  const bytes: number[] = [];
  while (bytes.length < count) bytes.push(...((await once(port, "data")) as [Uint8Array])[0]);
  return bytes;
}

const close = (port: SerialPort): Promise<void> => new Promise((resolve) => port.close(() => resolve()));

describe("a port", () => {
  test("carries bytes both ways; the time is that of the wire", async () => {
    const { board, open } = rig();
    const port = await open();
    const startNs = board.nowNs;
    const sent = Array.from({ length: 30 }, (_, i) => 7 * i);
    port.write(sent);
    expect(await readBytes(port, sent.length)).toEqual(sent);
    const frameNs = 10e9 / 115_200;
    expect(board.nowNs - startNs).toBeGreaterThan(31 * frameNs);
    expect(board.nowNs - startNs).toBeLessThan(31 * frameNs + 5e6);
    await close(port);
  });

  test("is listed, opens once, and opens again after it was closed", async () => {
    const { binding, open } = rig();
    expect((await binding.list()).map(({ path }) => path)).toEqual([PATH]);
    const first = await open();
    await expect(open()).rejects.toThrow("in use");
    await close(first);
    const second = await open();
    second.write([1]);
    expect(await readBytes(second, 1)).toEqual([1]);
    await close(second);
    await expect(binding.open({ path: "other", baudRate: 9600 })).rejects.toThrow("no port");
  });

  test("garbles at the wrong speed and recovers when it is set right", async () => {
    const { open } = rig();
    const port = await open(57_600);
    port.write([0x41]);
    expect(await readBytes(port, 1)).not.toEqual([0x41]);
    await new Promise<void>((resolve) => port.update({ baudRate: 115_200 }, () => resolve()));
    port.write([0x42]);
    expect(await readBytes(port, 1)).toEqual([0x42]);
    await close(port);
  });

  test("drain waits until the last byte has left", async () => {
    const { board, open } = rig();
    const port = await open();
    const startNs = board.nowNs;
    port.write(new Uint8Array(50));
    await new Promise<void>((resolve) => port.drain(() => resolve()));
    expect(board.serial.unsent).toBe(0);
    expect(board.nowNs - startNs).toBeGreaterThanOrEqual(50 * (10e9 / 115_200) - 1);
    await close(port);
  });
});

describe("an end", () => {
  test("a plug that is pulled closes the stream with an error", async () => {
    const { binding, pump } = rig();
    let opened: Awaited<ReturnType<typeof binding.open>> | undefined;
    const spy = {
      ...binding,
      open: async (wanted: Parameters<typeof binding.open>[0]) => (opened = await binding.open(wanted)),
    };
    const port = new SerialPort({ path: PATH, baudRate: 115_200, binding: spy } as unknown as Options);
    await once(port, "open");
    port.resume();
    pump.after(1, () => opened!.vanish());
    const [error] = await once(port, "close");
    expect(error).toMatchObject({ disconnected: true, message: "the port has vanished" });
  });

  test("a board that fails says so through the port, and time stands still", async () => {
    const { board, pump, open } = rig();
    const port = await open();
    port.resume();
    board.at(board.nowNs + 2e6, () => board.injectHardFault());
    board.raiseFaults = false;
    board.at(board.nowNs + 3e6, () => {
      throw new Error("the wheels came off");
    });
    const [error] = await once(port, "close");
    expect(error.message).toContain("wheels");
    expect(String(pump.failure)).toContain("wheels");
  });
});

describe("virtual time", () => {
  test("runs only while somebody waits when reads do not count", async () => {
    const { board, pump, open } = rig({ runWhileReading: false });
    const port = await open();
    port.resume();
    const before = board.nowNs;
    for (let turn = 0; turn < 20; turn++) await new Promise((resolve) => setImmediate(resolve));
    expect(board.nowNs).toBe(before);
    await new Promise<void>((resolve) => pump.after(5, resolve));
    expect(board.nowNs - before).toBeGreaterThanOrEqual(5e6);
    expect(board.nowNs - before).toBeLessThan(7e6);
    await close(port);
  });

  test("a wait that is called off neither fires nor holds", async () => {
    const { board, pump } = rig();
    let fired = false;
    const off = pump.after(5, () => {
      fired = true;
    });
    off();
    off();
    const before = board.nowNs;
    for (let turn = 0; turn < 20; turn++) await new Promise((resolve) => setImmediate(resolve));
    expect(board.nowNs - before).toBeLessThanOrEqual(1e6 + 100);
    board.runFor(10_000);
    expect(fired).toBe(false);
  });
});
