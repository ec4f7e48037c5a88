// What the operating system says of a serial port.

/** A port as the system describes it. Ids are 4 hexadecimal digits, lower case. */
export interface PortInfo {
  readonly path: string;
  readonly vendorId?: string;
  readonly productId?: string;
  readonly serialNumber?: string;
  /** Maker and product in words, as the device says them. */
  readonly product?: string;
}
