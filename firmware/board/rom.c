// Boot ROM: functions are found by the two characters of their name in the table that the ROM points to.
#include "board.h"

#define ROM_FUNCTION_TABLE 0x14u

// A pointer that the compiler cannot see to be near 0.
static const volatile uint16_t *rom_halfword(uint32_t address) {
  __asm("" : "+r"(address));
  return (const volatile uint16_t *)address;
}

// A board assertion when the ROM has no such function.
rom_function rom_lookup(uint32_t code) {
  const volatile uint16_t *entry = rom_halfword(*rom_halfword(ROM_FUNCTION_TABLE));
  for (; entry[0]; entry += 2) {
    if (entry[0] == code) return (rom_function)(uint32_t)entry[1];
  }
  board_trap();
}

// The USB bootloader of the ROM, with no activity light and both of its interfaces.
_Noreturn void rom_enter_bootloader(void) {
  void (*reset_usb_boot)(uint32_t, uint32_t) = (void (*)(uint32_t, uint32_t))rom_lookup(ROM_CODE('U', 'B'));
  interrupts_off();
  REG(WATCHDOG_CTRL) = 0;
  reset_usb_boot(0, 0);
  for (;;) {
  }
}
