// What the files of the board layer offer each other, by file. The board layer may always switch off; only stages.c and
// pins.c switch anything on, and only what the core's outputs say.
#ifndef HG_BOARD_H
#define HG_BOARD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "generated/schema.h"
#include "registers.h"

#define CLOCK_HZ 125000000u
// The core's linear memory; memory.ld reserves it here. A constant address makes each access of the core cheap.
#define CORE_MEMORY_BASE 0x20000000u
#define CORE_AT(offset) ((uint8_t *)(CORE_MEMORY_BASE + (offset)))
#define CORE_BOOT ((volatile struct hg_boot *)CORE_AT(HG_BOOT_ADDRESS))
#define CORE_INPUTS ((volatile struct hg_inputs *)CORE_AT(HG_INPUTS_ADDRESS))
#define CORE_OUTPUTS ((const volatile struct hg_outputs *)CORE_AT(HG_OUTPUTS_ADDRESS))

// Code and constants of the start-up stub stay in flash; all else runs from RAM.
#define STUB __attribute__((section(".stub"), noinline))

static inline void interrupts_off(void) { __asm volatile("cpsid i" ::: "memory"); }
static inline void interrupts_on(void) { __asm volatile("cpsie i" ::: "memory"); }

// clocks.c (in flash)
void clocks_start(void);

// traps.c
_Noreturn void trap(uint32_t code, uint32_t place);
_Noreturn void board_trap(void);

// pins.c
void pins_start(void);
void pins_cut_solenoids(void);
void pins_plain_off(void);
void pins_apply(uint32_t flags);
uint32_t pins_switches(void);

// stages.c
void stages_start(void);
void stages_fill(void);
void stages_apply(void);
void stages_cut(void);

// off.c
void all_off(void);

// pulses.c
extern volatile uint32_t pulses_arm_cuts;
void pulses_start(void);
void pulses_fill(void);
void pulses_forget(void);

// adc.c
void adc_start(void);
void adc_begin_round(void);
uint32_t adc_fill(void);

// uart.c
extern volatile uint32_t uart_head, uart_tail;
static inline bool uart_received(void) { return uart_head != uart_tail; }
void uart_start(void);
bool uart_set_baud(uint32_t baud);
uint32_t uart_take(void);
bool uart_transmitter_free(void);
bool uart_transmitter_empty(void);
void uart_send(const uint8_t *from, uint32_t count);
uint32_t uart_lost(void);

// clock.c: the 1 us timer
static inline uint32_t now_us(void) { return REG(TIMER_RAWL); }
void clock_start(void);
void clock_wait_for_tick(void (*attend)(void));
uint32_t clock_left_us(void);

// watchdog.c
struct start_cause {
  uint32_t reason, detail, place;
};
// In flash, for the start-up stub.
struct start_cause watchdog_start_cause(void);
uint32_t watchdog_kept_lockout(void);
void watchdog_keep_lockout(uint32_t lockout);
void watchdog_start(void);
void watchdog_clocks_run(void);
void watchdog_allow(uint32_t us);
void watchdog_feed(void);
_Noreturn void watchdog_reset(uint32_t magic, uint32_t detail, uint32_t place);
// What scratch registers hold over a reset: 0 one of these marks, 1 and 2 detail and place of a trap, 3 the lockout
// in force, 4 to 7 the boot ROM's.
// A bite leaves the mark of the running program; the boot ROM, asked for its boot mode, overwrites 0 and 1.
#define WATCHDOG_MAGIC_RUNNING 0x48475244u // "HGRD"
#define WATCHDOG_MAGIC_TRAP 0x48475452u    // "HGTR"
#define WATCHDOG_MAGIC_RESTART 0x48475253u // "HGRS"

// flash.c
void flash_read(uint32_t offset, uint32_t address, uint32_t length);
void flash_erase_sector(uint32_t offset);
void flash_program_page(uint32_t offset, uint32_t address);

// rom.c
typedef void (*rom_function)(void);
rom_function rom_lookup(uint32_t code);
#define ROM_CODE(first, second) ((uint32_t)(first) | (uint32_t)(second) << 8)
_Noreturn void rom_enter_bootloader(void);

// image.c
void image_report(void);

// stack.c: the stub paints the unused stack with this
#define STACK_PAINT 0x57ac4a11u
void stack_check(void);

// imports.c: what the core asked for and the main loop does once the answer has left
void imports_finish(void);
bool imports_pending(void);

// irq.c
void irq_enable(uint32_t irq, uint32_t priority);

// main.c
_Noreturn void board_main(const struct start_cause *cause) __attribute__((long_call));

#endif
