// Whether a port could be opened, and why not, without opening it: opening can restart what hangs on it.
import { accessSync, constants } from "node:fs";
import type { ErrorCode } from "#host/errors/codes.ts";
import { systemCode } from "#host/errors/failure.ts";
import { holderText } from "./port-holder.ts";

/** What is known before opening. */
export interface Access {
  /** Undefined: nothing speaks against it. */
  readonly code?: ErrorCode;
  readonly text: string;
}

/** Looks at a port by its path. On systems whose ports are no files nothing is said against any. */
export function portAccess(path: string): Access {
  if (!path.startsWith("/")) return { text: "not tried" };
  try {
    accessSync(path, constants.R_OK | constants.W_OK);
  } catch (thrown) {
    const gone = systemCode(thrown) === "ENOENT";
    return gone ? { code: "port-gone", text: "gone" } : { code: "port-permission", text: "no permission" };
  }
  const holder = holderText(path);
  return holder === "" ? { text: "free" } : { code: "port-busy", text: holder };
}

/** A rule for udev that gives the person at the computer access to an adapter; its file must sort before 73 (systemd's seat rules, from memory). */
export function udevRule(vendorId: string, productId: string): string {
  return `SUBSYSTEM=="tty", ATTRS{idVendor}=="${vendorId}", ATTRS{idProduct}=="${productId}", TAG+="uaccess"`;
}
