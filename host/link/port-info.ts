// What the operating system reports about a serial port.

/** A port as the system describes it. IDs are 4 lower-case hexadecimal digits. */
export interface PortInfo {
  readonly path: string;
  readonly vendorId?: string;
  readonly productId?: string;
  readonly serialNumber?: string;
  /** Manufacturer and product, as the device reports them. */
  readonly product?: string;
}
