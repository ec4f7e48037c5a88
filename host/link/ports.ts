// The serial ports of this computer with their USB identity, and the choice of one that is never a guess.
import { Failure } from "#host/errors/failure.ts";
import type { PortInfo } from "./port-info.ts";

/** A port that was chosen, and why. */
export interface Choice {
  readonly path: string;
  readonly why: string;
  /** USB serial number of the adapter, where it has one. */
  readonly serialNumber?: string;
}

/** Is it on USB? Only such ports are chosen by themselves. */
export const onUsb = (port: PortInfo): boolean => port.vendorId !== undefined;

/** What lists ports as the serial library does: the library itself, or a binding of it. */
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

/** The ports of a lister, with their ids in lower case. */
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

/** All ports. The serial library needs udevadm on Linux and throws without it: then /sys is read instead. */
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
 * Chooses among the ports seen: the only one on USB, or the only one whose USB serial number is among `known` (adapters
 * that led to a controller before). Fails with `no-port` or `many-ports`.
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
