// Serial ports of the mock binding with devices behind them, under the real serialport streams; they fail as the system's do.
import { MockBinding as untyped } from "@serialport/binding-mock";

/** The mock's port, whose own declaration does not resolve under nodenext. */
interface MockPort {
  emitData(data: Uint8Array): void;
  read(buffer: Uint8Array, offset: number, length: number): Promise<unknown>;
  write(buffer: Uint8Array): Promise<void>;
  update(options: { baudRate: number }): Promise<void>;
  set(options: object): Promise<void>;
  readonly openOptions: { readonly baudRate: number; readonly hupcl: boolean };
}

interface MockBinding {
  reset(): void;
  createPort(path: string, options: object): void;
  list(): Promise<{ readonly path: string; readonly serialNumber?: string }[]>;
  open(options: { readonly path: string }): Promise<MockPort>;
}

const binding = untyped as MockBinding;

/** Bytes to a device and what it answers. */
export type Device = (bytes: Uint8Array) => Iterable<number>;

/** What the mock says when it does not open, and what the system's binding says then. */
const SYSTEM_WORDS: readonly (readonly [RegExp, string])[] = [
  [/does not exist/, "Error: No such file or directory, cannot open"],
  [/locked/, "Error Resource temporarily unavailable Cannot lock port"],
];

/** A set of ports. One at a time: the mock keeps its ports in one place. */
export class MockPorts {
  /** Settings of the signal lines and speeds, in the order in which they were made. */
  readonly made: object[] = [];
  private readonly devices = new Map<string, Device>();
  private readonly gone = new Map<string, () => void>();

  constructor() {
    binding.reset();
  }

  /** A port on USB, or not; `echo` sends back what comes, `readyData` is sent on opening. */
  add(
    path: string,
    device: Device = () => [],
    options: object = { vendorId: "1209", productId: "00AB" },
  ): void {
    binding.createPort(path, options);
    this.devices.set(path, device);
  }

  /** The adapters are pulled out; these come back instead. */
  replug(add: () => void = () => {}): void {
    binding.reset();
    this.devices.clear();
    add();
    for (const goes of [...this.gone.values()]) goes();
    this.gone.clear();
  }

  list(): ReturnType<MockBinding["list"]> {
    return binding.list();
  }

  async open(options: { readonly path: string }): Promise<MockPort> {
    const port = await binding.open(options).catch((thrown: Error) => {
      const [, words] = SYSTEM_WORDS.find(([pattern]) => pattern.test(thrown.message)) ?? [];
      throw words === undefined ? thrown : new Error(`${words} ${options.path}`);
    });
    this.made.push({ ...port.openOptions });
    return this.watched(port, options.path);
  }

  /** The port with its device behind it; its read ends with an error when it is pulled out. */
  private watched(port: MockPort, path: string): MockPort {
    const [read, write, set, update] = [port.read, port.write, port.set, port.update].map((f) =>
      f.bind(port),
    ) as [MockPort["read"], MockPort["write"], MockPort["set"], MockPort["update"]];
    const pulled = new Promise<never>((_, reject) => {
      this.gone.set(path, () => reject(new Error("the device was removed")));
    });
    pulled.catch(() => {});
    return Object.assign(port, {
      read: (...args: Parameters<MockPort["read"]>) => Promise.race([read(...args), pulled]),
      write: async (bytes: Uint8Array) => {
        await write(bytes);
        const answer = Uint8Array.from(this.devices.get(path)?.(bytes) ?? []);
        if (answer.length > 0) port.emitData(Buffer.from(answer));
      },
      set: (options: object) => {
        this.made.push(options);
        return set(options);
      },
      update: (options: { baudRate: number }) => {
        this.made.push(options);
        return update(options);
      },
    });
  }
}
