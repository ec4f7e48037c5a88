// Lists the serial ports of this computer with their USB identity, and chooses one without ever guessing.
import { Failure } from "#host/errors/failure.ts";
import type { PortInfo } from "./port-info.ts";

/** The chosen port, and the reason for the choice. */
export interface Choice {
  readonly path: string;
  readonly why: string;
  /** USB serial number of the adapter, if it has one. */
  readonly serialNumber?: string;
}

/** Is it on USB? Only such ports are chosen automatically. */
export const onUsb = (port: PortInfo): boolean => port.vendorId !== undefined;

/** Lists ports as the serial library does: the library itself, or one of its bindings. */
export interface PortLister {
  list(): Promise<
    readonly {
      readonly path: string;
      readonly vendorId?: string | undefined;
      readonly productId?: string | undefined;
      readonly serialNumber?: string | undefined;
      readonly manufacturer?: string | undefined;
    }[]
  >;
}

/** The ports that a lister reports, with their IDs in lower case. */
export async function portsOf(lister: PortLister): Promise<PortInfo[]> {
  const ports = await lister.list();
  return ports.map(({ path, vendorId, productId, serialNumber, manufacturer }) => {
    const facts = {
      vendorId: vendorId?.toLowerCase(),
      productId: productId?.toLowerCase(),
      serialNumber,
      product: manufacturer,
    };
    return { path, ...Object.fromEntries(Object.entries(facts).filter(([, fact]) => fact !== undefined)) };
  });
}

async function fromLibrary(): Promise<PortInfo[]> {
  return portsOf((await import("serialport")).SerialPort);
}

/** All ports. On Linux the serial library needs udevadm and throws without it; /sys is then read instead. */
export async function listPorts(list: () => Promise<PortInfo[]> = fromLibrary): Promise<PortInfo[]> {
  try {
    return await list();
  } catch {
    const { sysfsPorts } = await import("./sysfs.ts");
    return sysfsPorts();
  }
}

/** One line about a port. */
export function describePort(port: PortInfo): string {
  const ids = onUsb(port) ? `USB ${port.vendorId}:${port.productId ?? "????"}` : "not on USB";
  const serial = port.serialNumber === undefined ? "" : `serial number ${port.serialNumber}`;
  return [port.path, ids, port.product ?? "", serial].filter((part) => part !== "").join("  ");
}

/**
 * Chooses one of the ports found: the only one on USB, or the only one whose USB serial number is in `known` (adapters
 * that have led to a controller before). Fails with `no-port` or `many-ports`.
 */
export function choosePort(ports: readonly PortInfo[], known: readonly string[] = []): Choice {
  const candidates = ports.filter(onUsb);
  const familiar = candidates.filter(
    (port) => port.serialNumber !== undefined && known.includes(port.serialNumber),
  );
  const seen = { ports: ports.map((port) => ({ ...port })) };
  const found = familiar.length === 1 ? familiar[0] : candidates.length === 1 ? candidates[0] : undefined;
  if (found) {
    const { path, serialNumber } = found;
    const before = `a controller was behind this adapter before (${serialNumber})`;
    const why = candidates.length === 1 ? "the only serial adapter on USB" : before;
    return { path, why, ...(serialNumber === undefined ? {} : { serialNumber }) };
  }
  if (candidates.length === 0) throw new Failure("no-port", { data: seen });
  const list = candidates.map(describePort).join("\n  ");
  throw new Failure("many-ports", {
    what: `more than one serial port could lead to a controller:\n  ${list}`,
    data: seen,
  });
}
