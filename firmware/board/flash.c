// Writing flash, through the ROM's functions, with every output off, interrupts off and nothing read from flash from
// connect to the second boot stage's return. Only the data area can be named.
#include "board.h"

#define BOOT2_WORDS 64
// A 4 KiB erase can take 400 ms (from memory, unverified for the part); a page far less.
#define OPERATION_US 1000000u
#define BLOCK_BYTES 65536u
#define BLOCK_ERASE_COMMAND 0xd8u

static struct {
  void (*connect)(void);
  void (*exit_xip)(void);
  void (*erase)(uint32_t offset, uint32_t count, uint32_t block, uint8_t command);
  void (*program)(uint32_t offset, const uint8_t *from, uint32_t count);
  void (*flush_cache)(void);
} rom;
static uint32_t boot2_copy[BOOT2_WORDS];
static uint32_t pads[PADS_QSPI_COUNT];

// Found and copied before the flash is ever taken away.
static void prepare(void) {
  if (rom.connect) return;
  const volatile uint32_t *boot2 = (const volatile uint32_t *)XIP_BASE;
  for (uint32_t i = 0; i < BOOT2_WORDS; i++) boot2_copy[i] = boot2[i];
  rom.exit_xip = rom_lookup(ROM_CODE('E', 'X'));
  rom.erase = (void (*)(uint32_t, uint32_t, uint32_t, uint8_t))rom_lookup(ROM_CODE('R', 'E'));
  rom.program = (void (*)(uint32_t, const uint8_t *, uint32_t))rom_lookup(ROM_CODE('R', 'P'));
  rom.flush_cache = rom_lookup(ROM_CODE('F', 'C'));
  rom.connect = rom_lookup(ROM_CODE('I', 'F'));
}

static void leave_xip(void) {
  prepare();
  interrupts_off();
  all_off();
  watchdog_allow(OPERATION_US);
  for (uint32_t i = 0; i < PADS_QSPI_COUNT; i++) pads[i] = REG(PADS_QSPI_FIRST + 4u * i);
  rom.connect();
  rom.exit_xip();
}

static void enter_xip(void) {
  rom.flush_cache();
  ((void (*)(void))((uint32_t)boot2_copy | 1u))();
  for (uint32_t i = 0; i < PADS_QSPI_COUNT; i++) REG(PADS_QSPI_FIRST + 4u * i) = pads[i];
  watchdog_allow(HG_WATCHDOG_US);
  pulses_forget();
  interrupts_on();
}

static void check(uint32_t offset, uint32_t length, uint32_t alignment) {
  bool inside = offset >= HG_FLASH_DATA_START && offset < HG_FLASH_BYTES && length <= HG_FLASH_BYTES - offset;
  if (!inside || offset % alignment) board_trap();
}

static void check_memory(uint32_t address, uint32_t length) {
  if (address > HG_CORE_MEMORY_BYTES || length > HG_CORE_MEMORY_BYTES - address) board_trap();
}

// Past the cache, a word at a time: what is read three times to be believed must come from the flash three times.
void flash_read(uint32_t offset, uint32_t address, uint32_t length) {
  check(offset, length, 1);
  check_memory(address, length);
  uint8_t *to = CORE_AT(address);
  uint32_t word = 0;
  for (uint32_t at = offset; at < offset + length; at++) {
    if (at == offset || !(at & 3u)) word = REG(XIP_UNCACHED + (at & ~3u));
    *to++ = (uint8_t)(word >> 8u * (at & 3u));
  }
}

void flash_erase_sector(uint32_t offset) {
  check(offset, HG_FLASH_SECTOR, HG_FLASH_SECTOR);
  leave_xip();
  rom.erase(offset, HG_FLASH_SECTOR, BLOCK_BYTES, BLOCK_ERASE_COMMAND);
  enter_xip();
}

void flash_program_page(uint32_t offset, uint32_t address) {
  check(offset, HG_FLASH_PAGE, HG_FLASH_PAGE);
  check_memory(address, HG_FLASH_PAGE);
  leave_xip();
  rom.program(offset, CORE_AT(address), HG_FLASH_PAGE);
  enter_xip();
}
