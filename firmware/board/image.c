// The image header, filled in by the build, and the check of the program in flash against it. A bad image is reported
// to the core, which then cannot arm; it is not refused here, so that it can be replaced over the line.
#include "board.h"

// "HDGT", read as a little-endian word.
#define MAGIC 0x54474448u
#define CRC32C_START 0xffffffffu

// At flash offset HG_FLASH_IMAGE_HEADER. The CRC-32C runs over the whole image, the four bytes of `crc` taken as zeros.
struct image_header {
  uint32_t magic, length, crc, version, fingerprint;
  uint32_t spare[3];
};

__attribute__((section(".image_header"), used)) static const struct image_header header = {
    MAGIC, 0, 0, 0, HG_SCHEMA_FINGERPRINT, {0}};

// CRC-32C (reflected 1EDC6F41h) of the sixteen values of a nibble.
static const uint32_t table[16] = {0x00000000, 0x105ec76f, 0x20bd8ede, 0x30e349b1, 0x417b1dbc, 0x5125dad3,
                                   0x61c69362, 0x7198540d, 0x82f63b78, 0x92a8fc17, 0xa24bb5a6, 0xb21572c9,
                                   0xc38d26c4, 0xd3d3e1ab, 0xe330a81a, 0xf36e6f75};

static uint32_t crc_word(uint32_t crc, uint32_t word) {
  crc ^= word;
  for (uint32_t nibble = 0; nibble < 8; nibble++) crc = crc >> 4 ^ table[crc & 15u];
  return crc;
}

static bool is_good(const volatile struct image_header *found) {
  if (found->magic != MAGIC || found->length > HG_FLASH_DATA_START || found->length % 4u) return false;
  const volatile uint32_t *word = (const volatile uint32_t *)XIP_BASE;
  const volatile uint32_t *end = word + found->length / 4u;
  uint32_t crc = CRC32C_START;
  for (; word < end; word++) crc = crc_word(crc, word == &found->crc ? 0 : *word);
  return ~crc == found->crc;
}

void image_report(void) {
  const volatile struct image_header *found = (const volatile struct image_header *)(XIP_BASE + HG_FLASH_IMAGE_HEADER);
  CORE_BOOT->imageGood = is_good(found);
  CORE_BOOT->imageVersion = found->version;
  CORE_BOOT->imageCrc = found->crc;
}
