// `headgate ports`: which serial ports there are, and which one would be used by itself and why.
import { Failure } from "#host/errors/failure.ts";
import type { PortSeen } from "#host/link/ports.ts";
import { withCommon } from "./options.ts";
import type { AddCommand } from "./program.ts";
import type { Result, Session } from "./session.ts";

/** The choice in words, or why there is none. */
async function choice(ports: readonly PortSeen[]): Promise<{ path: string | null; why: string }> {
  const { choosePort } = await import("#host/link/ports.ts");
  try {
    return choosePort(ports);
  } catch (thrown) {
    if (thrown instanceof Failure)
      return { path: null, why: thrown.message.split("\n", 1)[0]!.replace(/:$/, "") };
    throw thrown;
  }
}

async function ports(session: Session): Promise<Result> {
  const { tableLines } = await import("#host/report/terminal-table.ts");
  const seen = await session.io.listPorts();
  const chosen = await choice(seen);
  const rows = seen.map((port) => [
    port.path,
    port.vendorId === undefined ? "-" : `${port.vendorId}:${port.productId ?? "????"}`,
    port.serialNumber ?? "-",
    port.product ?? "-",
  ]);
  const table =
    rows.length === 0
      ? ["no serial ports"]
      : tableLines(["port", "USB id", "serial number", "product"], rows, session.width);
  const use =
    chosen.path === null
      ? `none is chosen by itself: ${chosen.why}`
      : `would use ${chosen.path}: ${chosen.why}`;
  return { data: { ports: seen, chosen }, lines: [...table, "", use] };
}

export const addPorts: AddCommand = (program, act) => {
  withCommon(program.command("ports"))
    .description("list the serial ports and say which would be used")
    .action(act(ports));
};
