// The RP2040 registers and bits that the board layer uses, headed as in the RP2040 datasheet; nothing here has an effect.
#ifndef HG_REGISTERS_H
#define HG_REGISTERS_H

#include <stdint.h>

#define REG(address) (*(volatile uint32_t *)(address))
// Atomic aliases of every APB register.
#define SET_BITS(address) REG((address) + 0x2000u)
#define CLEAR_BITS(address) REG((address) + 0x3000u)

// XIP: flash as memory, through the cache and past it.
#define XIP_BASE 0x10000000u
#define XIP_UNCACHED 0x13000000u

// RESETS
#define RESETS_RESET 0x4000c000u
#define RESETS_DONE 0x4000c008u
#define RESET_BUSCTRL (1u << 1)
#define RESET_IO_BANK0 (1u << 5)
#define RESET_IO_QSPI (1u << 6)
#define RESET_JTAG (1u << 7)
#define RESET_PADS_BANK0 (1u << 8)
#define RESET_PADS_QSPI (1u << 9)
#define RESET_PLL_SYS (1u << 12)
#define RESET_PLL_USB (1u << 13)
#define RESET_PWM (1u << 14)
#define RESET_SPI0 (1u << 16)
#define RESET_SYSCFG (1u << 18)
#define RESET_SYSINFO (1u << 19)
#define RESET_TBMAN (1u << 20)
#define RESET_TIMER (1u << 21)
#define RESET_UART0 (1u << 22)
#define RESET_USBCTRL (1u << 24)
#define RESET_ALL 0x1ffffffu

// Clocks
#define CLK_REF_CTRL 0x40008030u
#define CLK_REF_SELECTED 0x40008038u
#define CLK_SYS_CTRL 0x4000803cu
#define CLK_SYS_SELECTED 0x40008044u
#define CLK_PERI_CTRL 0x40008048u
#define CLK_SYS_RESUS_CTRL 0x40008078u
#define CLK_REF_SRC_BITS 3u
#define CLK_REF_SRC_XOSC 2u
#define CLK_SYS_SRC_BITS 1u
#define CLK_SYS_SRC_AUX 1u
#define CLK_SYS_AUX_BITS (7u << 5)
#define CLK_PERI_ENABLE (1u << 11)

// XOSC
#define XOSC_CTRL 0x40024000u
#define XOSC_STATUS 0x40024004u
#define XOSC_STARTUP 0x4002400cu
#define XOSC_RANGE_1_15MHZ 0xaa0u
// In units of 256 cycles of the crystal: 64 ms at 12 MHz. The chip maker's code waits 6 ms, many boards are given 64 ms, and
// a crystal that was taken after 1 ms has locked up in the cold.
#define XOSC_STARTUP_64MS 3000u
#define XOSC_ENABLE (0xfabu << 12)
#define XOSC_STABLE (1u << 31)

// PLL_SYS
#define PLL_SYS_CS 0x40028000u
#define PLL_SYS_PWR 0x40028004u
#define PLL_SYS_FBDIV 0x40028008u
#define PLL_SYS_PRIM 0x4002800cu
#define PLL_LOCK (1u << 31)
#define PLL_PD (1u << 0)
#define PLL_POSTDIVPD (1u << 3)
#define PLL_VCOPD (1u << 5)

// Watchdog, and the power-on state machine that says what its bite resets
#define WATCHDOG_CTRL 0x40058000u
#define WATCHDOG_LOAD 0x40058004u
#define WATCHDOG_REASON 0x40058008u
#define WATCHDOG_SCRATCH0 0x4005800cu
#define WATCHDOG_SCRATCH1 0x40058010u
#define WATCHDOG_SCRATCH2 0x40058014u
#define WATCHDOG_SCRATCH3 0x40058018u
#define WATCHDOG_TICK 0x4005802cu
#define WATCHDOG_TRIGGER (1u << 31)
#define WATCHDOG_ENABLE (1u << 30)
#define WATCHDOG_TICK_ENABLE (1u << 9)
#define PSM_WDSEL 0x40010008u
#define PSM_ALL_BUT_OSCILLATORS 0x1fffcu

// IO_BANK0 and PADS_BANK0
#define IO_STATUS(gpio) (0x40014000u + 8u * (gpio))
#define IO_STATUS_OUTTOPAD_BIT 9
#define IO_CTRL(gpio) (0x40014004u + 8u * (gpio))
#define IO_INTR(gpio) (0x400140f0u + 4u * ((gpio) / 8u))
#define IO_INTE(gpio) (0x40014100u + 4u * ((gpio) / 8u))
#define IO_INTS(gpio) (0x40014120u + 4u * ((gpio) / 8u))
#define IO_EDGE_LOW(gpio) (4u << (4u * ((gpio) % 8u)))
#define IO_EDGE_HIGH(gpio) (8u << (4u * ((gpio) % 8u)))
#define IO_FUNCTION_SPI 1u
#define IO_FUNCTION_UART 2u
#define IO_FUNCTION_PWM 4u
#define IO_FUNCTION_SIO 5u
#define PAD(gpio) (0x4001c004u + 4u * (gpio))
#define PAD_SCHMITT (1u << 1)
#define PAD_PULL_DOWN (1u << 2)
#define PAD_PULL_UP (1u << 3)
#define PAD_DRIVE_4MA (1u << 4)
#define PAD_INPUT (1u << 6)
#define PADS_QSPI_FIRST 0x40020004u
#define PADS_QSPI_COUNT 6u

// SIO
#define SIO_GPIO_IN 0xd0000004u
#define SIO_GPIO_OUT 0xd0000010u
#define SIO_GPIO_OUT_SET 0xd0000014u
#define SIO_GPIO_OUT_CLEAR 0xd0000018u
#define SIO_GPIO_OE 0xd0000020u

// PWM: slice registers
#define PWM_CSR(slice) (0x40050000u + 0x14u * (slice))
#define PWM_DIV(slice) (0x40050004u + 0x14u * (slice))
#define PWM_CTR(slice) (0x40050008u + 0x14u * (slice))
#define PWM_CC(slice) (0x4005000cu + 0x14u * (slice))
#define PWM_TOP(slice) (0x40050010u + 0x14u * (slice))
#define PWM_ENABLE 1u
#define PWM_DIV_INT_SHIFT 4u

// SPI0 (PL022)
#define SPI_CR0 0x4003c000u
#define SPI_CR1 0x4003c004u
#define SPI_DR 0x4003c008u
#define SPI_CPSR 0x4003c010u
#define SPI_IMSC 0x4003c014u
#define SPI_CR1_ENABLE (1u << 1)
#define SPI_INT_RX_HALF (1u << 2)

// UART0 (PL011)
#define UART_DR 0x40034000u
#define UART_FR 0x40034018u
#define UART_IBRD 0x40034024u
#define UART_FBRD 0x40034028u
#define UART_LCR_H 0x4003402cu
#define UART_CR 0x40034030u
#define UART_IMSC 0x40034038u
#define UART_FR_BUSY (1u << 3)
#define UART_FR_RX_EMPTY (1u << 4)
#define UART_FR_TX_FULL (1u << 5)
#define UART_LCR_8_BITS (3u << 5)
#define UART_LCR_FIFOS (1u << 4)
#define UART_CR_ON ((1u << 0) | (1u << 8) | (1u << 9))
#define UART_INT_RX (1u << 4)
#define UART_INT_TX (1u << 5)
#define UART_INT_RX_TIMEOUT (1u << 6)

// TIMER
#define TIMER_ALARM0 0x40054010u
#define TIMER_RAWL 0x40054028u
#define TIMER_INTR 0x40054034u
#define TIMER_INTE 0x40054038u
#define TIMER_INT_ALARM0 1u

// Cortex-M0+
#define NVIC_ISER 0xe000e100u
#define NVIC_IPR(irq) (0xe000e400u + ((irq) & ~3u))
#define NVIC_IPR_SHIFT(irq) (8u * ((irq) & 3u) + 6u)
#define SCB_VTOR 0xe000ed08u
#define IRQ_TIMER0 0u
#define IRQ_IO_BANK0 13u
#define IRQ_SPI0 18u
#define IRQ_UART0 20u

#endif
