// Lists the serial ports of a Linux computer from /sys, for systems without udevadm (small images, containers).
import { existsSync, readdirSync, readFileSync, realpathSync } from "node:fs";
import { dirname, join } from "node:path";
import type { PortInfo } from "./port-info.ts";

/** Where the kernel lists terminals. */
const TTY_CLASS = "/sys/class/tty";
/** The USB device is at most this many folders above the tty of its interface. */
const MOST_UP = 5;

function read(folder: string, name: string): string | undefined {
  try {
    return readFileSync(join(folder, name), "utf8").trim() || undefined;
  } catch {
    return undefined;
  }
}

/** The folder of the USB device that a tty belongs to. */
function usbFolder(device: string): string | undefined {
  let folder = device;
  for (let up = 0; up < MOST_UP; up++) {
    if (existsSync(join(folder, "idVendor"))) return folder;
    folder = dirname(folder);
  }
  return undefined;
}

function identity(folder: string): Partial<PortInfo> {
  const pairs = {
    vendorId: read(folder, "idVendor"),
    productId: read(folder, "idProduct"),
    serialNumber: read(folder, "serial"),
    product: [read(folder, "manufacturer"), read(folder, "product")].filter(Boolean).join(" ") || undefined,
  };
  return Object.fromEntries(Object.entries(pairs).filter(([, value]) => value !== undefined));
}

/** Ports that have a device. `root` is /sys/class/tty, or a copy of it in tests. */
export function sysfsPorts(root = TTY_CLASS): PortInfo[] {
  if (!existsSync(root)) return [];
  return readdirSync(root)
    .filter((name) => existsSync(join(root, name, "device")))
    .sort()
    .map((name) => {
      const folder = usbFolder(realpathSync(join(root, name, "device")));
      return { path: `/dev/${name}`, ...(folder === undefined ? {} : identity(folder)) };
    });
}
