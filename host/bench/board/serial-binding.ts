// The board's UART as a binding of the serialport package: bytes take their virtual time, nothing sleeps.
import type { Pump } from "./pump.ts";

/** What a program asks for when it opens the port; the rest of serialport's options has no meaning here. */
export interface BoardOpenOptions {
  readonly path: string;
  readonly baudRate: number;
}

/** The port as serialport lists it. */
export interface BoardPortInfo {
  readonly path: string;
  readonly manufacturer: string;
  readonly serialNumber: undefined;
  readonly pnpId: undefined;
  readonly locationId: undefined;
  readonly productId: undefined;
  readonly vendorId: undefined;
}

/** The interface that serialport wants of a binding, whose own declaration does not resolve under nodenext. */
export interface BoardBinding {
  list(): Promise<BoardPortInfo[]>;
  open(options: BoardOpenOptions): Promise<BoardPort>;
}

/** How the port behaves. */
export interface BoardBindingOptions {
  /** Name under which the port is listed and opened. */
  readonly path?: string;
  /**
   * True (the default): virtual time runs while a read waits, that is while the port is open. False: it runs only
   * while bytes are being sent and while somebody waits on the pump's own clock.
   */
  readonly runWhileReading?: boolean;
}

/** Name of the port unless another is given. */
export const BOARD_PATH = "emulated";

/** A binding with one port. A port that is open already, or of another name, does not open. */
export function boardBinding(pump: Pump, options: BoardBindingOptions = {}): BoardBinding {
  const path = options.path ?? BOARD_PATH;
  let open: BoardPort | undefined;
  return {
    list: async (): Promise<BoardPortInfo[]> => [describe(path)],
    open: async (wanted: BoardOpenOptions): Promise<BoardPort> => {
      if (wanted.path !== path) throw new Error(`no port named ${wanted.path}`);
      if (open?.isOpen) throw new Error(`port ${path} is in use`);
      open = new BoardPort(pump, wanted, options.runWhileReading ?? true);
      return open;
    },
  };
}

function describe(path: string): BoardPortInfo {
  return {
    path,
    manufacturer: "emulated board",
    serialNumber: undefined,
    pnpId: undefined,
    locationId: undefined,
    productId: undefined,
    vendorId: undefined,
  };
}

function canceled(message: string): Error {
  return Object.assign(new Error(message), { canceled: true });
}

interface PendingRead {
  readonly buffer: Buffer;
  readonly offset: number;
  readonly length: number;
  resolve(result: { buffer: Buffer; bytesRead: number }): void;
  reject(error: Error): void;
  release(): void;
}

/** The open port. After `vanish` every read and write fails as if the plug had been pulled. */
export class BoardPort {
  readonly openOptions: BoardOpenOptions;
  isOpen = true;
  readonly #pump: Pump;
  readonly #runWhileReading: boolean;
  #received: number[] = [];
  #pending: PendingRead | undefined;
  #gone: Error | undefined;

  constructor(pump: Pump, openOptions: BoardOpenOptions, runWhileReading: boolean) {
    this.openOptions = openOptions;
    this.#pump = pump;
    this.#runWhileReading = runWhileReading;
    this.#line.baud = openOptions.baudRate;
    this.#line.onByte = (byte) => this.#take(byte);
    pump.onFailure((failure) => this.#lose(failure instanceof Error ? failure : new Error(String(failure))));
  }

  get #line() {
    return this.#pump.board.serial;
  }

  /** Pulls the plug. */
  vanish(): void {
    this.#lose(new Error("the port has vanished"));
  }

  async close(): Promise<void> {
    if (!this.isOpen) throw new Error("port is not open");
    this.isOpen = false;
    this.#line.onByte = () => {};
    this.#fail(canceled("port was closed"));
  }

  read(buffer: Buffer, offset: number, length: number): Promise<{ buffer: Buffer; bytesRead: number }> {
    if (!this.isOpen) return Promise.reject(canceled("port is not open"));
    if (this.#gone) return Promise.reject(this.#gone);
    return new Promise((resolve, reject) => {
      const release = this.#runWhileReading ? this.#pump.hold() : () => {};
      this.#pending = { buffer, offset, length, resolve, reject, release };
      this.#serve();
    });
  }

  /** Resolves as soon as the bytes are queued, as a driver does. */
  async write(buffer: Buffer): Promise<void> {
    this.#check();
    this.#line.send(buffer);
    void this.#sent();
  }

  async update(options: { readonly baudRate: number }): Promise<void> {
    this.#check();
    this.#line.baud = options.baudRate;
  }

  async set(): Promise<void> {
    this.#check();
  }

  async get(): Promise<{ cts: boolean; dsr: boolean; dcd: boolean }> {
    this.#check();
    return { cts: true, dsr: true, dcd: true };
  }

  async getBaudRate(): Promise<{ baudRate: number }> {
    this.#check();
    return { baudRate: this.#line.baud };
  }

  async flush(): Promise<void> {
    this.#check();
    this.#received = [];
    this.#line.dropUnsent();
  }

  async drain(): Promise<void> {
    this.#check();
    await this.#sent();
  }

  /** Holds virtual time until the last queued byte has left. */
  #sent(): Promise<void> {
    return new Promise((resolve) => {
      const bytes = this.#line.unsent;
      if (bytes === 0 || this.#gone) resolve();
      else this.#pump.after((bytes * 10_000) / this.#line.baud, () => void this.#sent().then(resolve));
    });
  }

  #check(): void {
    if (!this.isOpen) throw canceled("port is not open");
    if (this.#gone) throw this.#gone;
  }

  #take(byte: number): void {
    this.#received.push(byte);
    this.#serve();
  }

  #serve(): void {
    const pending = this.#pending;
    if (!pending || this.#received.length === 0) return;
    this.#pending = undefined;
    pending.release();
    const bytes = this.#received.splice(0, pending.length);
    pending.buffer.set(bytes, pending.offset);
    pending.resolve({ buffer: pending.buffer, bytesRead: bytes.length });
  }

  #fail(error: Error): void {
    const pending = this.#pending;
    this.#pending = undefined;
    pending?.release();
    pending?.reject(error);
  }

  #lose(error: Error): void {
    this.#gone = error;
    this.#fail(error);
  }
}
