// Commands over several, busy, vanished and returning ports, through the real serialport streams on the mock binding.
import { describe, expect, test } from "vitest";
import { LOADED } from "#host/cli/load/verdict.ts";
import { portsOf } from "#host/link/ports.ts";
import { openSerial } from "#host/link/serial-line.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { MockPorts } from "../../../support/mock-ports.ts";
import { World } from "../world.ts";

/** A world whose ports are the mock's, with a controller ready for the first of them. */
function worldOn(ports: MockPorts): World {
  const made = new World();
  made.openLine = (name, baud) => openSerial(name, baud, ports);
  made.listPorts = () => portsOf(ports);
  made.device.state.settings = [...settingsBytes(exampleDocument(1))];
  made.write("car.yaml", formatSettings(exampleDocument(2)));
  return made;
}

const controller = (made: World) => (bytes: Uint8Array) => made.device.receive(bytes);

interface Listed {
  readonly ports: readonly {
    readonly path: string;
    readonly vendorId?: string;
    readonly productId?: string;
  }[];
  readonly chosen: { readonly path: string | null };
}

describe("which port", () => {
  test("one adapter beside a port that is not on USB is chosen, opened gently, and closed again", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    ports.add("/dev/ttyS0", () => [], {});
    ports.add("/dev/ttyUSB0", controller(made));
    const listed = (await made.run("ports", "--json")).json() as unknown as Listed;
    expect(listed.ports.map(({ path, productId }) => [path, productId])).toEqual([
      ["/dev/ttyS0", undefined],
      ["/dev/ttyUSB0", "00ab"],
    ]);
    expect((await made.run("status")).exit).toBe(0);
    expect(ports.made).toEqual([
      expect.objectContaining({ baudRate: 115_200, hupcl: false }),
      expect.objectContaining({ dtr: true, rts: true }),
    ]);
    expect((await made.run("status")).exit).toBe(0);
  });

  test("with two adapters it lists both and asks; the one that led to a controller before is known again", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    ports.add("/dev/ttyUSB0");
    ports.add("/dev/ttyUSB1", controller(made));
    const asked = await made.run("status", "--json");
    expect(asked.json()).toMatchObject({ error: { code: "many-ports" } });
    for (const path of ["/dev/ttyUSB0", "/dev/ttyUSB1"]) expect(JSON.stringify(asked.json())).toContain(path);
    const alone = new MockPorts();
    const again = worldOn(alone);
    again.env = { HEADGATE_DATA: `${made.folder}/data` };
    alone.add("/dev/ttyUSB7", controller(again));
    expect((await again.run("status")).exit).toBe(0);
    alone.add("/dev/ttyUSB8");
    expect((await again.run("status", "--json")).json()).toMatchObject({ ok: true });
  });

  test("--port goes before HEADGATE_PORT, and that before what would be found", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    for (const path of ["/dev/ttyUSB0", "/dev/ttyUSB1"]) ports.add(path, controller(made));
    made.env = { HEADGATE_PORT: "/dev/ttyUSB1" };
    const ran = await made.run("status");
    expect([ran.exit, ran.stderr.includes("using /dev/ttyUSB1: HEADGATE_PORT names it")]).toEqual([0, true]);
    expect((await made.run("ports", "--json")).json()).toMatchObject({ chosen: { path: "/dev/ttyUSB1" } });
    made.env = { HEADGATE_PORT: "/dev/ttyUSB9" };
    expect((await made.run("status", "--port", "/dev/ttyUSB0")).exit).toBe(0);
    expect((await made.run("status", "--json")).json()).toMatchObject({ error: { code: "port-gone" } });
  });

  test("a port that another program holds, and one that is not there", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    ports.add("/dev/ttyUSB0", controller(made));
    const held = await openSerial("/dev/ttyUSB0", 115_200, ports);
    expect((await made.run("status", "--json")).json()).toMatchObject({
      error: { code: "port-busy", exit: 75 },
    });
    await held.close();
    expect((await made.run("status")).exit).toBe(0);
    expect((await made.run("status", "--port", "/dev/ttyUSB9", "--json")).json()).toMatchObject({
      error: { code: "port-gone", exit: 69 },
    });
  });
});

test("doctor measures a line that answers in no time for as long as it was asked to", async () => {
  const ports = new MockPorts();
  const made = worldOn(ports);
  let requests = 0;
  ports.add("/dev/ttyUSB0", (bytes) => {
    if (++requests > 5000) throw new Error("it measures without end");
    return made.device.receive(bytes);
  });
  const ran = await made.run("doctor", "--seconds", "1", "--json");
  expect(ran.json()).toMatchObject({ ok: true, quality: { repeats: 0, damagedHere: 0 } });
  expect(made.clock.nowMs()).toBeLessThan(1500);
});

describe("a line that only carries bytes", () => {
  test.each([
    ["nothing", {}, "silent"],
    ["the same bytes again", { echo: true }, "line-echo"],
    ["text", { readyData: Buffer.from("U-Boot 2024\r\n") }, "not-headgate"],
  ])("%s", async (_, options, code) => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    ports.add("/dev/ttyUSB0", () => [], { vendorId: "1209", ...options });
    expect((await made.run("status", "--json")).json()).toMatchObject({ error: { code } });
  });
});

describe("an adapter that is pulled out in the middle of a load", () => {
  /** Pulls it out once after so many requests. */
  function pulledAfter(ports: MockPorts, made: World, requests: number, back: () => void): void {
    let left = requests;
    ports.add("/dev/ttyUSB0", (bytes) => {
      if (--left === 0) ports.replug(back);
      return left < 0 ? [] : made.device.receive(bytes);
    });
  }

  test("and stays away: the link is lost, and the old settings are there", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    pulledAfter(ports, made, 5, () => {});
    const ran = await made.run("load", "car.yaml", "--yes", "--transfer-baud", "115200", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "link-lost", exit: 74 } });
    expect(made.device.state.stores).toBe(0);
  });

  test("and comes back under another name: the load goes on, and ends in LOADED", async () => {
    const ports = new MockPorts();
    const made = worldOn(ports);
    pulledAfter(ports, made, 5, () => ports.add("/dev/ttyUSB1", controller(made)));
    const ran = await made.run("load", "car.yaml", "--yes", "--wait", "10", "--transfer-baud", "115200");
    expect(ran.stdout.trimEnd().split("\n").at(-1)).toBe(LOADED);
    expect(ran.stderr).toContain("the load goes on where it stopped");
    expect(made.device.state.stores).toBe(1);
  });
});
