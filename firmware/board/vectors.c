// Vector tables: the one in flash serves until the stub has filled RAM, the one in RAM from then on, so that taking an
// interrupt never reads flash. Whatever is not expected traps.
#include "board.h"

#define INTERRUPTS 32
#define SYSTEM_VECTORS 14

typedef void (*handler)(void);

extern uint32_t stack_top[];
void reset_handler(void);
void early_trap(void);
void fault_handler(void);
void timer0_isr(void);
void io_bank0_isr(void);
void spi0_isr(void);
void uart0_isr(void);

struct vectors {
  uint32_t *stack;
  handler reset;
  handler system[SYSTEM_VECTORS];
  handler interrupts[INTERRUPTS];
};

__attribute__((section(".flash_vectors"), used)) static const struct vectors flash_vectors = {
    stack_top, reset_handler, {[0 ... SYSTEM_VECTORS - 1] = early_trap}, {[0 ... INTERRUPTS - 1] = early_trap}};

__attribute__((section(".ram_vectors"), used)) static const struct vectors ram_image_vectors = {
    stack_top,
    reset_handler,
    {[0 ... SYSTEM_VECTORS - 1] = fault_handler},
    {[IRQ_TIMER0] = timer0_isr,
     [IRQ_TIMER0 + 1 ... IRQ_IO_BANK0 - 1] = fault_handler,
     [IRQ_IO_BANK0] = io_bank0_isr,
     [IRQ_IO_BANK0 + 1 ... IRQ_SPI0 - 1] = fault_handler,
     [IRQ_SPI0] = spi0_isr,
     [IRQ_SPI0 + 1] = fault_handler,
     [IRQ_UART0] = uart0_isr,
     [IRQ_UART0 + 1 ... INTERRUPTS - 1] = fault_handler}};
