// The link client against the released image on the emulated board, over the serialport package, in virtual time.

import { readFileSync } from "node:fs";
import { SerialPort } from "serialport";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { Pump } from "#host/bench/board/pump.ts";
import { BOARD_PATH, boardBinding } from "#host/bench/board/serial-binding.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello, requireFit, status } from "#host/link/device.ts";
import type { Line } from "#host/link/line.ts";
import { serialLine } from "#host/link/serial-line.ts";
import { readSettings, writeSettings } from "#host/link/transfer.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { RELEASED } from "../../support/native-core.ts";
import { FULL_DOCUMENT } from "../settings/documents.ts";

type Options = ConstructorParameters<typeof SerialPort>[0];

/** A powered board with one open line to it. */
class Rig {
  readonly board = new EmulatedBoard({ image: readFileSync(`${RELEASED}headgate.uf2`) });
  readonly pump = new Pump(this.board);
  private readonly binding = boardBinding(this.pump);
  private readonly lines: Line[] = [];

  constructor() {
    this.board.powerOn();
    this.board.runFor(STARTED_US);
  }

  async client(): Promise<LinkClient> {
    const options = { path: BOARD_PATH, baudRate: 115_200, binding: this.binding, autoOpen: false };
    const port = new SerialPort(options as unknown as Options);
    await new Promise<void>((resolve, reject) => port.open((error) => (error ? reject(error) : resolve())));
    const line = serialLine(port);
    this.lines.push(line);
    return new LinkClient(line, { clock: this.pump });
  }

  async close(): Promise<void> {
    for (const line of this.lines) await line.close();
  }
}

let rig: Rig;
beforeEach(() => {
  rig = new Rig();
});
afterEach(() => rig.close());

const FULL = settingsBytes(FULL_DOCUMENT);

describe("the released image", () => {
  test("says hello, fits this tool, and holds nothing when new", async () => {
    const device = await hello(await rig.client());
    requireFit(device);
    expect(device).toMatchObject({ mode: "off", slot: "none", imageGood: true, bootReason: "power" });
  });

  test("sends its live columns", async () => {
    const live = await status(await rig.client());
    expect(live.mode).toBe(0);
    expect(live.batteryMv).toBeGreaterThan(9000);
  });

  test("takes settings, gives the same back, and still has them after its power was off", async () => {
    const client = await rig.client();
    const stored = await writeSettings(client, FULL);
    expect(stored.sequence).toBe(1);
    expect(await readSettings(client)).toEqual(FULL);
    await client.close();
    rig.board.powerCycle();
    rig.board.runFor(STARTED_US);
    const again = await rig.client();
    expect(await hello(again)).toMatchObject({ settingsSequence: 1, slotNote: "ok" });
    expect(await readSettings(again)).toEqual(FULL);
  });

  test("refuses settings that break a rule, and keeps the old ones", async () => {
    const client = await rig.client();
    await writeSettings(client, FULL);
    const wrong = settingsBytes(exampleDocument()).with(0, 0xff);
    await expect(writeSettings(client, wrong)).rejects.toMatchObject({ code: "device-refused-settings" });
    expect(await readSettings(client)).toEqual(FULL);
  });

  test("answers after any rubbish, without a reset", async () => {
    const client = await rig.client();
    for (const rubbish of [
      new Uint8Array(10_000).fill(7),
      Uint8Array.of(0, 0, 5, 0, 255, 0),
      new Uint8Array(700),
    ]) {
      rig.board.serial.send(rubbish);
      expect((await hello(client)).mode).toBe("off");
    }
    expect(rig.board.starts.length).toBe(1);
  });
});
