// Checks whether a port can be opened, and if not why, without opening it: opening can restart the device behind it.
import { accessSync, constants } from "node:fs";
import type { ErrorCode } from "#host/errors/codes.ts";
import { systemCode } from "#host/errors/failure.ts";
import { holderText } from "./port-holder.ts";

/** The result of the check. */
export interface Access {
  /** Undefined when nothing was found that would prevent opening. */
  readonly code?: ErrorCode;
  readonly text: string;
}

/** Checks a port by its path. On systems whose ports are not files, every port passes. */
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
