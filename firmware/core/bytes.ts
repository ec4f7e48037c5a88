// Little-endian numbers at any address: the processor cannot read or write across an alignment by itself.

export function short(at: usize): u32 {
  return load<u8>(at) | ((load<u8>(at + 1) as u32) << 8);
}

export function long(at: usize): u32 {
  return short(at) | (short(at + 2) << 16);
}

export function putShort(at: usize, value: u32): void {
  store<u8>(at, value as u8);
  store<u8>(at + 1, (value >> 8) as u8);
}

/** Copies byte by byte: a copy of known length would become wider writes across an alignment. */
export function putBytes(to: usize, from: usize, length: usize): void {
  for (let i: usize = 0; i < length; i++) store<u8>(to + i, load<u8>(from + i));
}

export function putLong(at: usize, value: u32): void {
  putShort(at, value);
  putShort(at + 2, value >> 16);
}
