// CRC-32C (Castagnoli, reflected 0x82F63B78), four bits at a time: small table, no division.

const TABLE: usize = memory.data<u32>([
  0x00000000, 0x105ec76f, 0x20bd8ede, 0x30e349b1, 0x417b1dbc, 0x5125dad3, 0x61c69362, 0x7198540d, 0x82f63b78,
  0x92a8fc17, 0xa24bb5a6, 0xb21572c9, 0xc38d26c4, 0xd3d3e1ab, 0xe330a81a, 0xf36e6f75,
]);

/** CRC-32C of `length` bytes at `address`. */
export function crc32c(address: usize, length: u32): u32 {
  let crc: u32 = 0xffffffff;
  const end = address + (length as usize);
  for (let at = address; at < end; at++) {
    crc ^= load<u8>(at);
    crc = (crc >>> 4) ^ load<u32>(TABLE + (((crc & 15) as usize) << 2));
    crc = (crc >>> 4) ^ load<u32>(TABLE + (((crc & 15) as usize) << 2));
  }
  return ~crc;
}
