// Names that a user gives to controllers: each remembers the adapter or port that led to one, and the board that must answer there.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Failure } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";
import type { Hello } from "#host/link/device.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import type { Session } from "../session.ts";

/** One name. `adapter`: USB serial number, where the adapter has one; the path may then change. */
export interface Alias {
  readonly name: string;
  readonly board: string;
  readonly path: string;
  readonly adapter?: string | undefined;
}

/** A name begins with a letter and cannot be taken for a path or a TCP port. */
const NAME = /^[a-z][a-z0-9-]{0,30}$/;
const TAKEN = ["practice", "device"];

const fileOf = ({ io }: Session): string => join(dataFolder(io.env), "aliases.json");

const isAlias = (entry: unknown): entry is Alias => {
  const { name, board, path } = (entry ?? {}) as Partial<Alias>;
  return [name, board, path].every((text) => typeof text === "string");
};

/** All of them; none when the list is missing or damaged. */
export function aliases(session: Session): Alias[] {
  try {
    const list: unknown = JSON.parse(readFileSync(fileOf(session), "utf8"));
    return Array.isArray(list) ? list.filter(isAlias) : [];
  } catch {
    return [];
  }
}

function write(session: Session, list: readonly Alias[]): void {
  try {
    mkdirSync(dataFolder(session.io.env), { recursive: true });
    writeFileSync(fileOf(session), `${JSON.stringify(list, null, 2)}\n`);
  } catch (thrown) {
    throw new Failure("file-failed", {
      what: `the name is not remembered: ${systemWords(thrown)}`,
      cause: thrown,
    });
  }
}

/** Fails with `usage` unless it can be a name. */
export function requireName(name: string): void {
  if (NAME.test(name) && !TAKEN.includes(name)) return;
  throw new Failure("usage", {
    what: `"${name}" cannot be the name of a controller`,
    expected: `small letters, digits and hyphens, a letter first, not ${TAKEN.join(" or ")}`,
    todo: "choose another name",
  });
}

/** Remembers one in place of what had its name. Fails with `file-failed`. */
export const remember = (session: Session, alias: Alias): void =>
  write(session, [...aliases(session).filter(({ name }) => name !== alias.name), alias]);

/** Forgets one. Fails with `usage` when there is none of that name. */
export function forget(session: Session, name: string): void {
  const all = aliases(session);
  const left = all.filter((alias) => alias.name !== name);
  if (left.length < all.length) {
    write(session, left);
    return;
  }
  throw new Failure("usage", {
    what: `no controller is remembered as "${name}"`,
    expected: all.map((alias) => alias.name).join(", ") || "none is remembered",
    todo: "`headgate ports` lists them",
  });
}

/** The port that a name leads to now: its adapter wherever it is plugged in, else its path. Undefined when it is not there. */
export function portOf({ adapter, path }: Alias, ports: readonly PortInfo[]): PortInfo | undefined {
  return ports.find((port) => (adapter === undefined ? port.path === path : port.serialNumber === adapter));
}

/** Fails with `board-changed` when another board answers than the one that has the name. */
export function requireAlias({ name, board }: Alias, device: Hello): void {
  if (device.boardId === board) return;
  throw new Failure("board-changed", {
    what: `the port of "${name}" leads to another controller now: board ${device.boardId}, not ${board}`,
    todo: `plug in the right one, or say anew which it is: headgate ports --remember ${name}`,
    data: { name, board: device.boardId, expected: board },
  });
}
