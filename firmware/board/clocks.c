// Resets, XOSC, PLL_SYS and Clocks: everything from reset to 125 MHz and 1 us, in flash, while the watchdog runs already.
// The order is the one that silicon needs.
#include "board.h"

#define KEPT_RUNNING \
  (RESET_IO_QSPI | RESET_PADS_QSPI | RESET_PLL_USB | RESET_PLL_SYS | RESET_SYSCFG | RESET_USBCTRL)
#define USED_BEFORE_CLK_PERI \
  (RESET_BUSCTRL | RESET_IO_BANK0 | RESET_PADS_BANK0 | RESET_JTAG | RESET_SYSINFO | RESET_TBMAN | RESET_TIMER | RESET_PWM)
#define USED_AFTER_CLK_PERI (RESET_SPI0 | RESET_UART0)
// 12 MHz x 125 = 1500 MHz, / 6 / 2 = 125 MHz.
#define PLL_REFERENCE_DIVIDER 1u
#define PLL_FEEDBACK 125u
#define PLL_POST_DIVIDERS (6u << 16 | 2u << 12)

STUB static void release(uint32_t blocks) {
  CLEAR_BITS(RESETS_RESET) = blocks;
  while (~REG(RESETS_DONE) & blocks) {
  }
}

STUB static void start_crystal(void) {
  REG(CLK_SYS_RESUS_CTRL) = 0;
  REG(XOSC_CTRL) = XOSC_RANGE_1_15MHZ;
  REG(XOSC_STARTUP) = XOSC_STARTUP_64MS;
  SET_BITS(XOSC_CTRL) = XOSC_ENABLE;
  while (!(REG(XOSC_STATUS) & XOSC_STABLE)) {
  }
  CLEAR_BITS(CLK_SYS_CTRL) = CLK_SYS_SRC_BITS;
  while (REG(CLK_SYS_SELECTED) != 1u) {
  }
  CLEAR_BITS(CLK_REF_CTRL) = CLK_REF_SRC_BITS;
  while (REG(CLK_REF_SELECTED) != 1u) {
  }
}

STUB static void start_pll(void) {
  SET_BITS(RESETS_RESET) = RESET_PLL_SYS;
  release(RESET_PLL_SYS);
  REG(PLL_SYS_CS) = PLL_REFERENCE_DIVIDER;
  REG(PLL_SYS_FBDIV) = PLL_FEEDBACK;
  CLEAR_BITS(PLL_SYS_PWR) = PLL_PD | PLL_VCOPD;
  while (!(REG(PLL_SYS_CS) & PLL_LOCK)) {
  }
  REG(PLL_SYS_PRIM) = PLL_POST_DIVIDERS;
  CLEAR_BITS(PLL_SYS_PWR) = PLL_POSTDIVPD;
}

STUB static void switch_clocks(void) {
  SET_BITS(CLK_REF_CTRL) = CLK_REF_SRC_XOSC;
  while (REG(CLK_REF_SELECTED) != 1u << CLK_REF_SRC_XOSC) {
  }
  CLEAR_BITS(CLK_SYS_CTRL) = CLK_SYS_AUX_BITS;
  SET_BITS(CLK_SYS_CTRL) = CLK_SYS_SRC_AUX;
  while (REG(CLK_SYS_SELECTED) != 1u << CLK_SYS_SRC_AUX) {
  }
  REG(CLK_PERI_CTRL) = CLK_PERI_ENABLE;
}

STUB void clocks_start(void) {
  SET_BITS(RESETS_RESET) = RESET_ALL & ~KEPT_RUNNING;
  release(USED_BEFORE_CLK_PERI);
  start_crystal();
  start_pll();
  switch_clocks();
  release(USED_AFTER_CLK_PERI);
}
