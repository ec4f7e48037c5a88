// Ports: found with and without udevadm, chosen but never guessed, and each way of not opening told apart.
import { mkdirSync, openSync, symlinkSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { portAccess, udevRule } from "#host/link/access.ts";
import { openLine } from "#host/link/open-line.ts";
import { portHolders } from "#host/link/port-holder.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { choosePort, listPorts, onUsb } from "#host/link/ports.ts";
import { openFailure, serialLine } from "#host/link/serial-line.ts";
import { sysfsPorts } from "#host/link/sysfs.ts";
import { tempFolder } from "../../support/temp-folder.ts";

const port: fc.Arbitrary<PortInfo> = fc
  .record({
    path: fc.string({ minLength: 1 }),
    usb: fc.boolean(),
    serial: fc.option(fc.constantFrom("A", "B", "C")),
  })
  .map(({ path, usb, serial }) => ({
    path,
    ...(usb ? { vendorId: "1209" } : {}),
    ...(serial === null ? {} : { serialNumber: serial }),
  }));

describe("choice", () => {
  test.prop([fc.array(port, { maxLength: 5 }), fc.subarray(["A", "B", "C"])])(
    "is the only candidate or the only known one, else there is none",
    (ports, known) => {
      const usb = ports.filter(onUsb);
      const familiar = usb.filter((p) => p.serialNumber !== undefined && known.includes(p.serialNumber));
      const only = familiar.length === 1 ? familiar[0] : usb.length === 1 ? usb[0] : undefined;
      if (only) expect(choosePort(ports, known)).toMatchObject({ path: only.path });
      else {
        const code = usb.length === 0 ? "no-port" : "many-ports";
        expect(() => choosePort(ports, known)).toThrow(expect.objectContaining({ code }));
      }
    },
  );
});

describe("finding", () => {
  test("falls back to /sys where the library cannot list", async () => {
    const failing = (): Promise<PortInfo[]> => Promise.reject(new Error("spawn udevadm ENOENT"));
    expect(Array.isArray(await listPorts(failing))).toBe(true);
  });

  test("reads identity from a copy of /sys", () => {
    const root = tempFolder();
    const device = join(root, "devices/usb1/1-1");
    mkdirSync(join(device, "1-1:1.0/ttyUSB0"), { recursive: true });
    for (const [name, text] of Object.entries({
      idVendor: "0403\n",
      idProduct: "6001\n",
      serial: "X1\n",
      product: "Adapter\n",
    }))
      writeFileSync(join(device, name), text);
    for (const tty of ["ttyUSB0", "ttyS0", "tty1"]) mkdirSync(join(root, "class", tty), { recursive: true });
    symlinkSync(join(device, "1-1:1.0/ttyUSB0"), join(root, "class/ttyUSB0/device"));
    mkdirSync(join(root, "devices/platform/serial"), { recursive: true });
    symlinkSync(join(root, "devices/platform/serial"), join(root, "class/ttyS0/device"));
    expect(sysfsPorts(join(root, "class"))).toEqual([
      { path: "/dev/ttyS0" },
      { path: "/dev/ttyUSB0", vendorId: "0403", productId: "6001", serialNumber: "X1", product: "Adapter" },
    ]);
    expect(sysfsPorts(join(root, "nothing"))).toEqual([]);
  });
});

describe("opening", () => {
  test.each([
    ["Error: Permission denied, cannot open /dev/ttyUSB0", "port-permission"],
    ["Opening COM3: Access denied", "port-permission"],
    ["Error Resource temporarily unavailable Cannot lock port", "port-busy"],
    ["Error: No such file or directory, cannot open /dev/ttyUSB9", "port-gone"],
    ["Opening COM9: File not found", "port-gone"],
    ["Error: Input/output error", "port-failed"],
    ["Error: Input/output error, cannot open /dev/ttyUSB0", "port-failed"],
    ["Error: No such device or address, cannot open /dev/ttyS9", "port-gone"],
    ["Error: Is a directory, cannot open /tmp", "port-gone"],
    ["Error: Inappropriate ioctl for device setting custom baud rate of 115200", "port-gone"],
  ])("%s is %s", (message, code) => {
    expect(openFailure("/dev/x", new Error(message))).toMatchObject({ code });
  });

  test("is told of in our words; the system's stand in quotes where nothing is known", () => {
    const said = (message: string): string => openFailure("/dev/x", new Error(message)).message;
    expect(said("Error: Permission denied, cannot open /dev/x")).toBe(
      "/dev/x: this user may not open the port",
    );
    expect(said("Error: Inappropriate ioctl for device setting custom baud rate of 115200")).toBe(
      "/dev/x: this is not a serial port",
    );
    expect(said("Error: Input/output error, cannot open /dev/x")).toBe(
      '/dev/x: the port could not be opened; the system says "Error: Input/output error, cannot open /dev/x"',
    );
  });

  test("a path that is not there, with the real library", async () => {
    await expect(openLine(join(tempFolder(), "ttyNone"))).rejects.toMatchObject({
      code: "port-gone",
      exit: 69,
    });
  });

  test("tcp: another form, nobody there, and somebody there", async () => {
    await expect(openLine("tcp:nonsense")).rejects.toMatchObject({ code: "usage" });
    const server = createServer((socket) => void socket.end());
    await new Promise<void>((resolve) => void server.listen(0, "127.0.0.1", resolve));
    const { port: number } = server.address() as { port: number };
    const line = await openLine(`tcp:127.0.0.1:${number}`);
    await line.close();
    await new Promise((resolve) => void server.close(resolve));
    await expect(openLine(`tcp:127.0.0.1:${number}`)).rejects.toMatchObject({
      code: "port-gone",
      message: `tcp:127.0.0.1:${number}: nothing listens there`,
    });
  });
});

describe("access", () => {
  test("gone, free, and not a path", () => {
    const place = tempFolder();
    writeFileSync(join(place, "port"), "");
    expect(portAccess(join(place, "none"))).toMatchObject({ code: "port-gone" });
    expect(portAccess(join(place, "port"))).toEqual({ text: "free" });
    expect(portAccess("COM3")).toEqual({ text: "not tried" });
  });

  test("who holds a port: this process, seen as another", () => {
    const path = join(tempFolder(), "port");
    openSync(path, "w");
    expect(portHolders(path, "/proc", 0).map(({ pid }) => pid)).toEqual(
      process.platform === "linux" ? [process.pid] : [],
    );
    expect(portHolders(path)).toEqual([]);
  });

  test("the udev rule names the adapter", () => {
    expect(udevRule("0403", "6001")).toContain('ATTRS{idVendor}=="0403"');
  });
});

describe("speed", () => {
  test("1200 is never set, and a refusal of the driver is told", async () => {
    const port = { update: (_: object, done: (error: Error) => void) => done(new Error("custom speed")) };
    const line = serialLine(port as never);
    await expect(line.setBaud(1200)).rejects.toMatchObject({ code: "port-speed" });
    await expect(line.setBaud(921_600)).rejects.toMatchObject({ code: "port-speed" });
  });
});
