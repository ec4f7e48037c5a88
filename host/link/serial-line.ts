// A line over a serial port of this computer. The serial library is loaded only when a port is opened.

import type { SerialPort } from "serialport";
import { ERRORS, type ErrorCode } from "#host/errors/codes.ts";
import { Failure, messageOf, systemCode } from "#host/errors/failure.ts";
import { within } from "./deadline.ts";
import type { Line } from "./line.ts";
import { holderText } from "./port-holder.ts";

const OPEN_MS = 3000;
const CLOSE_MS = 500;
/** Opening at this speed makes many boards restart into their boot loader. */
const NEVER_BAUD = 1200;

/** What a failure to open says, and which error it is; with other words than the error's own where they fit better. */
const CAUSES: readonly (readonly [RegExp, ErrorCode, string?])[] = [
  [/EACCES|EPERM|Permission denied|Access denied/i, "port-permission"],
  [/EBUSY|EAGAIN|Cannot lock port|Resource busy|temporarily unavailable/i, "port-busy"],
  [/EISDIR|ENOTTY|Is a directory|Inappropriate ioctl/i, "port-gone", "this is not a serial port"],
  [/ENOENT|ENXIO|ENODEV|No such|File not found/i, "port-gone"],
];

/** Error code for a failure to open. The library gives the system's error name only within its message. */
export function openFailure(name: string, thrown: unknown): Failure {
  const said = `${systemCode(thrown)} ${messageOf(thrown)}`;
  const [, code, words] = CAUSES.find(([pattern]) => pattern.test(said)) ?? [undefined, "port-failed"];
  const holder = code === "port-busy" ? holderText(name) : "";
  const quoted = code === "port-failed" ? `the system says "${messageOf(thrown)}"` : "";
  const parts = [`${name}: ${words ?? ERRORS[code].what}`, holder, quoted];
  const what = parts.filter((part) => part !== "").join("; ");
  return new Failure(code, { what, data: { port: name }, cause: thrown });
}

/** The serial library with its native part. Fails with `no-serial-binding` where there is none for this system. */
export async function serialLibrary(load = () => import("serialport")): Promise<typeof import("serialport")> {
  try {
    return await load();
  } catch (thrown) {
    throw new Failure("no-serial-binding", { cause: thrown });
  }
}

type Callback = (error?: Error | null) => void;

/** Turns a call with a callback into a promise. */
function called(run: (done: Callback) => void): Promise<void> {
  return new Promise((resolve, reject) => run((error) => (error ? reject(error) : resolve())));
}

class SerialLine implements Line {
  readonly name: string;
  readonly stream: SerialPort;

  constructor(port: SerialPort) {
    this.name = port.path;
    this.stream = port;
  }

  get baud(): number {
    return this.stream.baudRate;
  }

  async setBaud(baud: number): Promise<void> {
    if (baud === NEVER_BAUD) throw new Failure("port-speed", { what: `${NEVER_BAUD} baud is never used` });
    const done = called((callback) => this.stream.update({ baudRate: baud }, callback)).then(() => true);
    const refused = (cause: unknown): never => {
      throw new Failure("port-speed", { what: `${this.name}: the port does not take ${baud} baud`, cause });
    };
    if (!(await within(done, OPEN_MS).catch(refused)))
      throw new Failure("port-speed", { what: `${this.name}: changing the speed hangs` });
  }

  async close(): Promise<void> {
    if (!this.stream.isOpen) return;
    await within(
      called((callback) => this.stream.close(callback)).catch(() => undefined),
      CLOSE_MS,
    );
  }
}

/** Wraps an open `serialport` stream. The stream may use another binding, such as that of an emulated board. */
export function serialLine(port: SerialPort): Line {
  return new SerialLine(port);
}

/** Opens a port by its path, on the system's binding unless another is given. Fails with `port-gone`, `port-permission`, `port-busy` or `port-failed`. */
export async function openSerial(path: string, baudRate: number, binding?: object): Promise<Line> {
  const { SerialPort: Port } = await serialLibrary();
  const options = { path, baudRate, autoOpen: false, hupcl: false } as const;
  const port = new Port(binding ? Object.assign(options, { binding }) : options);
  const opened = await within(
    called((done) => port.open(done)).then(() => true),
    OPEN_MS,
  ).catch((thrown: unknown) => {
    throw openFailure(path, thrown);
  });
  if (!opened) throw new Failure("port-failed", { what: `${path}: opening it hangs`, data: { port: path } });
  await raiseDtr(port);
  return serialLine(port);
}

/** A pseudo-terminal has no such signal and refuses the call, which is harmless. */
async function raiseDtr(port: SerialPort): Promise<void> {
  await within(
    called((done) => port.set({ dtr: true, rts: true }, done)).catch(() => undefined),
    OPEN_MS,
  );
}
