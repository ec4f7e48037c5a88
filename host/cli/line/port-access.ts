// The ports of this computer as people want to see them: identity, whether each could be opened, and why not.
import { type Access, portAccess } from "#host/link/access.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { tableLines } from "#host/report/terminal/table.ts";
import type { Session } from "../session.ts";

/** A port and what is known of opening it. */
export interface PortCheck {
  readonly port: PortInfo;
  readonly access: Access;
}

/** Looks at every port without opening any. */
export async function checkPorts(session: Session): Promise<PortCheck[]> {
  const ports = await session.io.listPorts();
  return ports.map((port) => ({ port, access: portAccess(port.path) }));
}

/** A table of them. */
export function portRows(looks: readonly PortCheck[], width: number): string[] {
  if (looks.length === 0) return ["no serial ports"];
  const rows = looks.map(({ port, access }) => [
    port.path,
    port.vendorId === undefined ? "-" : `${port.vendorId}:${port.productId ?? "????"}`,
    port.serialNumber ?? "-",
    access.text,
    port.product ?? "-",
  ]);
  return tableLines(["port", "USB id", "serial number", "access", "product"], rows, width);
}
